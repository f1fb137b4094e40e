# SPDX-License-Identifier: GPL-3.0-or-later
"""Where frames are stepped: a temporary scene that links only what is followed.

A temporary scene gives the same poses as the real one, skips unrelated meshes, and keeps
the user's frame, selection and unkeyed edits. It is created and removed inside one call,
so nothing of it can be saved or undone. What it cannot give: see `exactness`.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import bpy

NAME = ".plumbline sample"
# Before 4.5 a copied scene keeps a user of every object when it is removed.
COPIES_CLEANLY = bpy.app.version >= (4, 5, 0)


class Stage:
    """A scene that can be stepped to a frame and gives its dependency graph."""

    def __init__(self, scene: bpy.types.Scene) -> None:
        self.scene = scene

    def go(self, frame: int, subframe: float = 0.0) -> Any:
        """Step to a frame; returns the evaluated dependency graph."""
        self.scene.frame_set(frame, subframe=subframe)
        return self.scene.view_layers[0].depsgraph


@contextmanager
def temporary_stage(
    scene: bpy.types.Scene,
    objects: Sequence[bpy.types.Object],
    *,
    placed: Sequence[bpy.types.Object] = (),
    copied: bool = False,
) -> Iterator[Stage]:
    """A temporary scene with `objects` in it, gone when the block ends.

    Of the objects in `placed` only the transforms are needed: an empty that copies them
    pulls those in without evaluating a mesh. An object that is hidden from viewports would
    not be evaluated; probes that depend on it make it so. `copied` starts from a copy of the
    scene without its objects, which drivers that read the active scene need.
    """
    temporary = _bare_copy(scene) if copied else _new_scene(scene)
    probes: list[bpy.types.Object] = []
    try:
        for item in objects:
            if not item.hide_viewport:
                temporary.collection.objects.link(item)
        hidden = [item for item in objects if item.hide_viewport]
        probes += [_place_probe(item) for item in (*placed, *hidden)]
        probes += [_pose_probe(item) for item in hidden if item.type == "ARMATURE"]
        for probe in probes:
            temporary.collection.objects.link(probe)
        with _handlers_at_rest():
            yield Stage(temporary)
    finally:
        # In one go, and not by scenes.remove(): that crashes 4.3 where a command runs on a
        # file that Blender opened without a window.
        bpy.data.batch_remove([temporary, *probes])


@contextmanager
def _handlers_at_rest() -> Iterator[None]:
    """Keep other add-ons' frame handlers from running: they would act on the user's scene."""
    lists = (bpy.app.handlers.frame_change_pre, bpy.app.handlers.frame_change_post)
    before = [list(each) for each in lists]
    for each in lists:
        each[:] = []
    try:
        yield
    finally:
        for each, handlers in zip(lists, before, strict=True):
            each[:] = handlers


def _new_scene(scene: bpy.types.Scene) -> bpy.types.Scene:
    temporary = bpy.data.scenes.new(NAME)
    render, original = temporary.render, scene.render
    render.frame_map_old, render.frame_map_new = original.frame_map_old, original.frame_map_new
    return temporary


def _bare_copy(scene: bpy.types.Scene) -> bpy.types.Scene:
    temporary = scene.copy()
    temporary.name = NAME
    for child in list(temporary.collection.children):
        temporary.collection.children.unlink(child)
    for item in list(temporary.collection.objects):
        temporary.collection.objects.unlink(item)
    return temporary


def _place_probe(target: bpy.types.Object) -> bpy.types.Object:
    """An empty that copies an object's transforms, and so needs them evaluated."""
    probe = bpy.data.objects.new(NAME, None)
    constraint = probe.constraints.new("COPY_TRANSFORMS")
    constraint.target = target
    return probe


def _pose_probe(rig: bpy.types.Object) -> bpy.types.Object:
    """An empty that needs all of a rig's pose evaluated.

    A hidden rig is evaluated only as far as something visible asks for: the object alone
    brings no pose, and a bone brings itself and those above it. So it asks for every tip.
    """
    probe = bpy.data.objects.new(NAME, None)
    constraint = probe.constraints.new("ARMATURE")
    for bone in rig.data.bones:
        if not bone.children:
            target = constraint.targets.new()
            target.target, target.subtarget = rig, bone.name
    return probe


@contextmanager
def real_stage(scene: bpy.types.Scene) -> Iterator[Stage]:
    """The scene itself, put back to its frame and its unkeyed edits when the block ends.

    Only for processes that own their file: stepping the real scene is slow, and others see it.
    """
    frame, subframe = scene.frame_current, scene.frame_subframe
    edits = [(block, _transforms(block)) for block in _posed(scene)]
    try:
        yield Stage(scene)
    finally:
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
