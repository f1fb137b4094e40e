# SPDX-License-Identifier: GPL-3.0-or-later
"""Where frames are stepped: a temporary scene that links only what is followed.

A temporary scene with the real one's settings gives the same poses where they depend on
nothing that `exactness` finds, skips unrelated meshes, and keeps the user's frame, selection
and unkeyed edits. It is created and removed inside one call, so nothing of it can be saved or
undone.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import bpy
import numpy as np

from .handlers import handlers_at_rest
from .probes import NAME, make_probes, may_hide
from .scene_settings import copy_settings

# Before 4.5 a copied scene keeps a user of every object when it is removed.
COPIES_CLEANLY = bpy.app.version >= (4, 5, 0)


# A vertex: the object of a mesh, and its index.
Corner = tuple[bpy.types.Object, int]


class Stage:
    """A scene that can be stepped to a frame and gives a view layer's dependency graph.

    resting   names of others' frame handlers that do not run meanwhile, which might pose a rig
    corners   an empty at each vertex that was asked for: (mesh object, index) -> empty
    """

    def __init__(
        self,
        scene: bpy.types.Scene,
        layer: str | None = None,
        *,
        starts: int | None = None,
        resting: Sequence[str] = (),
        corners: dict[Corner, bpy.types.Object] | None = None,
    ) -> None:
        self.scene = scene
        self.resting = tuple(resting)
        self.corners = corners or {}
        self._layer = scene.view_layers[layer or 0]
        self._starts = starts

    def go(self, frame: int, subframe: float = 0.0) -> Any:
        """Step to a frame; returns the evaluated dependency graph."""
        self.scene.frame_set(frame, subframe=subframe)
        return self._layer.depsgraph

    def run_in(self, first: int) -> None:
        """Step to the frame before `first`, from where a simulation starts."""
        for frame in range(first if self._starts is None else self._starts, first):
            self.go(frame)


@contextmanager
def temporary_stage(
    scene: bpy.types.Scene,
    objects: Sequence[bpy.types.Object],
    *,
    placed: Sequence[bpy.types.Object] = (),
    corners: Sequence[Corner] = (),
    copied: bool = False,
) -> Iterator[Stage]:
    """A temporary scene with `objects` in it, gone when the block ends.

    Of the objects in `placed` only the transforms are needed: an empty that copies them
    pulls those in without evaluating a mesh; `corners` are vertices whose places are needed. An
    object that is hidden from viewports, on any frame, would not be evaluated; probes that depend
    on it make it so. `copied` starts from a copy of the scene without its objects, which drivers
    that read the active scene need.
    """
    temporary = _bare_copy(scene) if copied else _new_scene(scene)
    probes: list[bpy.types.Object] = []
    try:
        hidden = [item for item in dict.fromkeys(objects) if may_hide(item)]
        at_corners = make_probes(probes, placed, hidden, corners)
        shown = [item for item in dict.fromkeys(objects) if item not in hidden]
        for item in (*shown, *probes):
            temporary.collection.objects.link(item)
        with handlers_at_rest() as resting:
            layer = layer_name(scene) if copied else None
            yield Stage(temporary, layer, resting=resting, corners=at_corners)
    finally:
        # In one go, and not by scenes.remove(): that crashes 4.3 where a command runs on a
        # file that Blender opened without a window.
        bpy.data.batch_remove([temporary, *probes])


def place_on(scene: bpy.types.Scene, item: bpy.types.Object, frame: int) -> Any:
    """(4,4) where an object stands on a frame, whatever frame is shown."""
    with temporary_stage(scene, (), placed=(item,)) as stage:
        return np.array(item.evaluated_get(stage.go(frame)).matrix_world)


def _new_scene(scene: bpy.types.Scene) -> bpy.types.Scene:
    temporary = bpy.data.scenes.new(NAME)
    copy_settings(scene, temporary)
    return temporary


def _bare_copy(scene: bpy.types.Scene) -> bpy.types.Scene:
    temporary = scene.copy()
    temporary.name = NAME
    for child in list(temporary.collection.children):
        temporary.collection.children.unlink(child)
    for item in list(temporary.collection.objects):
        temporary.collection.objects.unlink(item)
    return temporary


def layer_name(scene: bpy.types.Scene) -> str:
    """The view layer that the user looks at; the first where another scene is looked at."""
    layer = bpy.context.view_layer
    return str(layer.name if layer.id_data == scene else scene.view_layers[0].name)


@contextmanager
def real_stage(
    scene: bpy.types.Scene,
    objects: Sequence[bpy.types.Object],
    *,
    placed: Sequence[bpy.types.Object] = (),
    corners: Sequence[Corner] = (),
    run_in_from: int | None = None,
) -> Iterator[Stage]:
    """The scene itself, put back to its frame and its unkeyed edits when the block ends.

    Only for processes that own their file: stepping the real scene is slow, and others see it.
    Probes make everything evaluated that is followed, however it is hidden or excluded.
    A simulation, which may begin before the first frame asked for, begins at `run_in_from`.
    """
    frame, subframe = scene.frame_current, scene.frame_subframe
    edits = [(block, _transforms(block)) for block in _posed(scene)]
    probes: list[bpy.types.Object] = []
    try:
        at_corners = make_probes(probes, placed, list(dict.fromkeys(objects)), corners)
        for probe in probes:
            scene.collection.objects.link(probe)
        with _shown(scene):
            yield Stage(scene, layer_name(scene), starts=run_in_from, corners=at_corners)
    finally:
        # The probes go last: what is hidden has to be put back as well.
        try:
            _put_back(scene, frame, subframe, edits)
        finally:
            bpy.data.batch_remove(probes)
            for layer in scene.view_layers:
                layer.update()


@contextmanager
def _shown(scene: bpy.types.Scene) -> Iterator[None]:
    """Let the window show a scene: only there do rigid bodies move, once it was evaluated."""
    window, name = bpy.context.window, layer_name(scene)
    before = window.scene, window.view_layer
    if window.scene != scene:
        window.scene, window.view_layer = scene, scene.view_layers[name]
    try:
        bpy.context.evaluated_depsgraph_get()
        yield
    finally:
        if window.scene != before[0]:
            window.scene, window.view_layer = before


def _put_back(
    scene: bpy.types.Scene, frame: int, subframe: float, edits: list[tuple[Any, dict[str, Any]]]
) -> None:
    scene.frame_set(frame, subframe=subframe)
    for block, before in edits:
        for name, value in before.items():
            if _plain(getattr(block, name)) != value:
                setattr(block, name, value)
    for layer in scene.view_layers:
        layer.update()


def _posed(scene: bpy.types.Scene) -> Iterator[Any]:
    for item in scene.objects:
        yield item
        if item.pose is not None:
            yield from item.pose.bones


_TRANSFORMS = (
    "location",
    "rotation_euler",
    "rotation_quaternion",
    "rotation_axis_angle",
    "scale",
)


def _transforms(block: Any) -> dict[str, tuple[float, ...]]:
    return {name: _plain(getattr(block, name)) for name in _TRANSFORMS}


def _plain(value: Any) -> tuple[float, ...]:
    return tuple(float(number) for number in value)
