# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys of an object's bones, the same way from Blender 4.2 to 5.2 (slots came in 4.4)."""

from collections.abc import Iterable

import bpy
import numpy as np

from .rotations import Floats

LINEAR, BEZIER = 1, 2  # what foreach_set wants for `interpolation`
AUTO_CLAMPED = 4  # ... and for `handle_left_type`, `handle_right_type`
EXTREME, BREAKDOWN = 1, 2  # ... and for the key's `type`


def object_fcurves(owner: bpy.types.Object) -> list[bpy.types.FCurve]:
    """All F-curves that animate the object; empty when it has no action."""
    data = owner.animation_data
    action = data.action if data else None
    if action is None:
        return []
    if not hasattr(data, "action_slot"):
        return list(action.fcurves)
    if data.action_slot is None:
        return []
    strips = [strip for layer in action.layers for strip in layer.strips]
    bags = [strip.channelbag(data.action_slot) for strip in strips if strip.type == "KEYFRAME"]
    return [curve for bag in bags if bag for curve in bag.fcurves]


def ensure_fcurve(owner: bpy.types.Object, data_path: str, index: int) -> bpy.types.FCurve:
    """The F-curve of one channel of the object, made with action and slot where missing."""
    data = owner.animation_data_create()
    if data.action is None:
        data.action = bpy.data.actions.new(owner.name)
    action = data.action
    if hasattr(action, "fcurve_ensure_for_datablock"):
        return action.fcurve_ensure_for_datablock(owner, data_path, index=index)
    return action.fcurves.find(data_path, index=index) or action.fcurves.new(data_path, index=index)


def find_fcurve(owner: bpy.types.Object, data_path: str, index: int) -> bpy.types.FCurve | None:
    """The F-curve of one channel of the object, or None where it is not keyed."""
    for curve in object_fcurves(owner):
        if curve.data_path == data_path and curve.array_index == index:
            return curve
    return None


def bone_path(bone: str, prop: str) -> str:
    """The data path of a pose bone's property, such as `location`."""
    return f'pose.bones["{bone}"].{prop}'


def write_keys(
    curve: bpy.types.FCurve,
    frames: Iterable[float],
    values: Iterable[float],
    *,
    interpolation: int = BEZIER,
    key_types: Iterable[int] | None = None,
) -> None:
    """Replace all keys of a curve; Bezier keys get auto-clamped handles.

    frames (K,) and values (K,); key_types (K,) as EXTREME or BREAKDOWN, plain when None.
    """
    places = np.stack((np.asarray(frames), np.asarray(values)), axis=-1).astype(np.float32)
    count = len(places)
    keys = curve.keyframe_points
    keys.clear()
    keys.add(count)
    keys.foreach_set("co", places.ravel())
    keys.foreach_set("interpolation", np.full(count, interpolation, np.int32))
    for side in ("handle_left_type", "handle_right_type"):
        keys.foreach_set(side, np.full(count, AUTO_CLAMPED, np.int32))
    if key_types is not None:
        keys.foreach_set("type", np.asarray(key_types, dtype=np.int32))
    curve.update()  # reallocates the keys: `keys` must not be used after this


def write_channel(
    owner: bpy.types.Object,
    data_path: str,
    frames: Floats,
    values: Floats,
    *,
    interpolation: int = BEZIER,
    key_types: Iterable[int] | None = None,
) -> None:
    """Key a vector property: frames (K,), values (K,N), one F-curve for each of N components."""
    for index in range(values.shape[1]):
        curve = ensure_fcurve(owner, data_path, index)
        write_keys(
            curve, frames, values[:, index], interpolation=interpolation, key_types=key_types
        )


def set_scene_rate(scene: bpy.types.Scene, fps: float, first: int, last: int) -> None:
    """Give the scene the motion's frame rate and range; rates such as 29.97 use fps_base."""
    whole = max(1, round(fps))
    scene.render.fps = whole
    scene.render.fps_base = whole / fps
    scene.frame_start, scene.frame_end = first, last
