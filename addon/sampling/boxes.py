# SPDX-License-Identifier: GPL-3.0-or-later
"""The boxes of objects and of their loose parts, in their own axes, with what modifiers add."""

from collections.abc import Sequence
from itertools import product
from typing import Any

import bpy
import numpy as np

from .fitted_box import box_around, unit_cube_to
from .loose_parts import MOST_VERTICES, bounded, loose_parts
from .probes import NAME
from .stages import layer_name, temporary_stage

# Of these Blender's own box has the radius of their points around it, which nobody sees.
_CURVED = ("CURVE", "FONT", "META", "SURFACE")


def boxes_of(scene: bpy.types.Scene, items: Sequence[bpy.types.Object]) -> list[list[Any]]:
    """The boxes of each object as it looks now: (4,4) each, from the cube from -0.5 to 0.5 to its
    own axes.

    A mesh has one for each of its loose parts, a collection instance for each of those of its
    objects, where these are not many, and do not fill the box around them (see `loose_parts`).

    What Blender shows has been measured by it. What is hidden, or stands in a scene that is not
    looked at, may never have been, nor are collection instances: those are measured in a
    temporary scene. An empty has the size that its cube is drawn with; what has no extent at
    all gives a point.
    """
    if not items:  # asking for the graph would evaluate what the user has just changed
        return []
    # 4.2 may not have told the object itself what its evaluated self measures.
    shown = bpy.context.evaluated_depsgraph_get()
    boxes: dict[Any, list[Any]] = {}
    unmeasured = []
    for item in items:
        if item.type == "EMPTY" and not _is_instancer(item):
            size = float(item.empty_display_size)
            boxes[item] = [unit_cube_to(np.array([[-size] * 3, [size] * 3]))]
        elif _is_instancer(item) or (_takes_shape(item) and not _is_seen(scene, item)):
            unmeasured.append(item)
        else:
            boxes[item] = _evaluated_boxes(item.evaluated_get(shown))
    if unmeasured:
        boxes.update(zip(unmeasured, _measured(scene, unmeasured), strict=True))
    return [boxes[item] for item in items]


def _is_instancer(item: bpy.types.Object) -> bool:
    return item.instance_type == "COLLECTION" and item.instance_collection is not None


def _takes_shape(item: bpy.types.Object) -> bool:
    """Whether Blender has to work out an object's shape before its box is known."""
    return item.type != "MESH" or bool(item.modifiers) or item.data.shape_keys is not None


def _is_seen(scene: bpy.types.Scene, item: bpy.types.Object) -> bool:
    layer = scene.view_layers[layer_name(scene)]
    return bpy.context.view_layer == layer and item.visible_get(view_layer=layer)


def _measured(scene: bpy.types.Scene, items: Sequence[bpy.types.Object]) -> list[list[Any]]:
    """Boxes of objects that Blender did not measure: copies are shown to it, all hidden ones."""
    copies: list[bpy.types.Object] = []
    try:
        for item in items:
            copies.append(_shown_copy(item))
        with temporary_stage(scene, copies) as stage:
            depsgraph = stage.go(scene.frame_current)
            return [
                _instances_boxes(copy, depsgraph)
                if _is_instancer(copy)
                else _evaluated_boxes(copy.evaluated_get(depsgraph))
                for copy in copies
            ]
    finally:
        bpy.data.batch_remove(copies)


def _shown_copy(item: bpy.types.Object) -> bpy.types.Object:
    """The object where it stands, with nothing that hides it."""
    copy = item.copy()
    copy.name = NAME
    copy.animation_data_clear()
    copy.hide_viewport = False
    return copy


def _evaluated_boxes(seen: bpy.types.Object) -> list[Any]:
    """One for each loose part of a mesh, else the only one."""
    parts = _mesh_parts(seen)
    return [unit_cube_to(_evaluated_box(seen))] if parts is None else bounded(parts)


def _mesh_parts(seen: bpy.types.Object) -> list[Any] | None:
    """The points (N,3) of each loose part; None of what is no mesh, or one of too many vertices."""
    if seen.type != "MESH" or len(seen.data.vertices) > MOST_VERTICES:
        return None
    points = np.zeros(3 * len(seen.data.vertices), dtype=np.float32)
    seen.data.vertices.foreach_get("co", points)
    edges = np.zeros(2 * len(seen.data.edges), dtype=np.int32)
    seen.data.edges.foreach_get("vertices", edges)
    return loose_parts(points.reshape(-1, 3), edges.reshape(-1, 2))


def _evaluated_box(seen: bpy.types.Object) -> Any:
    if seen.type not in _CURVED:
        return box_around(np.array([tuple(corner) for corner in seen.bound_box]))
    mesh = seen.to_mesh()
    points = np.zeros(3 * len(mesh.vertices), dtype=np.float32)
    mesh.vertices.foreach_get("co", points)
    seen.to_mesh_clear()
    return box_around(points.reshape(-1, 3))


def _instances_boxes(copy: bpy.types.Object, depsgraph: Any) -> list[Any]:
    """The boxes of all that a collection instance shows, in the axes of its empty."""
    stands = np.array(copy.evaluated_get(depsgraph).matrix_world)
    if not np.isfinite(stands).all() or np.linalg.det(stands) == 0.0:
        return [unit_cube_to(box_around(()))]
    objects: list[list[Any]] = []
    for instance in depsgraph.object_instances:
        if instance.is_instance and instance.parent.original == copy:
            place = np.linalg.solve(stands, np.array(instance.matrix_world))
            turn, at = place[:3, :3].T, place[:3, 3]
            objects.append([points @ turn + at for points in _points(instance.object)])
    return _instance_boxes([parts for parts in objects if parts])


def _instance_boxes(objects: list[list[Any]]) -> list[Any]:
    """One for each part of the objects; for each object where the parts are too many."""
    if not objects:
        return [unit_cube_to(box_around(()))]
    boxes = bounded([points for parts in objects for points in parts])
    return boxes if len(boxes) > 1 else bounded([np.concatenate(parts) for parts in objects])


def _points(seen: bpy.types.Object) -> list[Any]:
    """The points (N,3) of each part of an object that has an extent: corners, where it is no mesh
    of loose parts."""
    parts = _mesh_parts(seen)
    if parts is None:
        parts = [np.array(list(product(*_evaluated_box(seen).T)))]
    return [points for points in parts if np.ptp(box_around(points)) > 0.0]
