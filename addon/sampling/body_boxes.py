# SPDX-License-Identifier: GPL-3.0-or-later
"""A rig's body as boxes: one around all that a bone moves, for others to stand on or lean against.

Taken from the meshes that the rig deforms, each vertex with its heaviest bone, and from objects
that hang on bones; as they are at rest, without what modifiers add.
"""

from collections.abc import Iterator
from itertools import product
from typing import Any

import bpy
import numpy as np

# Of a rig with many bones the largest boxes count: fingers and faces bear nobody.
MOST_BOXES = 24
# Fewer vertices than this are no body.
LEAST_POINTS = 4


def body_boxes(rig: bpy.types.Object) -> dict[str, Any]:
    """Bone name -> (2,3) low and high corner in the bone's axes at rest, armature units.

    The largest ones, in the order of the rig's bones; empty where nothing hangs on any bone.
    """
    found: dict[str, list[Any]] = {}
    for item in bpy.data.objects:
        for bone, points in (*_deformed(rig, item), *_hanging(rig, item)):
            found.setdefault(bone, []).append(points)
    boxes = {}
    for bone, parts in found.items():
        points = np.concatenate(parts)
        if len(points) >= LEAST_POINTS:
            boxes[bone] = np.array([points.min(axis=0), points.max(axis=0)])
    largest = sorted(boxes, key=lambda bone: -float(np.ptp(boxes[bone], axis=0).prod()))
    kept = set(largest[:MOST_BOXES])
    return {bone.name: boxes[bone.name] for bone in rig.data.bones if bone.name in kept}


def _deformed(rig: bpy.types.Object, item: bpy.types.Object) -> Iterator[tuple[str, Any]]:
    """Bone and points (N,3), in its axes at rest, of what it moves most of a mesh."""
    if not any(each.type == "ARMATURE" and each.object == rig for each in item.modifiers):
        return
    if not isinstance(item.data, bpy.types.Mesh) or not item.data.vertices:
        return
    names = [group.name for group in item.vertex_groups]
    heaviest = np.full(len(item.data.vertices), -1)
    for vertex in item.data.vertices:
        weights = [
            (each.weight, each.group)
            for each in vertex.groups
            if each.group < len(names) and names[each.group] in rig.data.bones
        ]
        if weights:
            heaviest[vertex.index] = max(weights)[1]
    points = np.zeros(3 * len(heaviest), dtype=np.float32)
    item.data.vertices.foreach_get("co", points)
    stands = np.array(rig.matrix_world)
    if np.linalg.det(stands) == 0.0:  # scaled to nothing: where its meshes are cannot be told
        return
    to_rig = np.linalg.inv(stands) @ np.array(item.matrix_world)
    placed = _moved(to_rig, points.reshape(-1, 3))
    for group in np.unique(heaviest[heaviest >= 0]):
        bone = rig.data.bones[names[group]]
        if bone.use_deform:
            rest = np.linalg.inv(np.array(bone.matrix_local))
            yield bone.name, _moved(rest, placed[heaviest == group])


def _hanging(rig: bpy.types.Object, item: bpy.types.Object) -> Iterator[tuple[str, Any]]:
    """The corners (8,3) of a mesh that hangs rigidly on a bone."""
    if item.parent != rig or item.parent_type != "BONE" or item.type != "MESH":
        return
    bone = rig.data.bones.get(item.parent_bone)
    if bone is not None and len(item.data.vertices):
        # What hangs on a bone hangs on its tail, wherever the bone is posed.
        tail = np.eye(4)
        tail[1, 3] = bone.length
        own = np.array(item.matrix_parent_inverse) @ np.array(item.matrix_basis)
        corners = np.array(list(product(*np.array(item.bound_box)[[0, 6]].T)))
        yield bone.name, _moved(tail @ own, corners)


def _moved(matrix: Any, points: Any) -> Any:
    return points @ matrix[:3, :3].T + matrix[:3, 3]
