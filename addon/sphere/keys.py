# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes a ball's keys: an action of its own, all channels keyed on the same frames."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ..sampling.curves import action_fcurves
from .ours import SPHERE_OF, UPRIGHT_OF, is_ours, remove_unused

# Blender's codes: of interpolations, and of handles.
_LINEAR, _BEZIER = 1, 2
_FREE, _ALIGNED, _AUTO_CLAMPED = 0, 3, 4


@dataclass(frozen=True, eq=False)
class Keys:
    """Keys (K,) at frames of the action's time, with values (K,D) in Blender units.

    left, right (K,1+D)   their handles, frame and values; without them, keys are linear
    corner (K,)           handles that stand free; others lie in one line
    """

    frames: Any
    values: Any
    left: Any = None
    right: Any = None
    corner: Any = None


def write_keys(sphere: bpy.types.Object, keys: Keys, channels: Mapping[str, int]) -> None:
    """Give a ball, or what turns a copy of it, an action with these keys.

    channels   how many columns of the values each property takes, in order
    """
    _put_aside_action(sphere)
    action = bpy.data.actions.new(sphere.name)
    mark = next(name for name in (SPHERE_OF, UPRIGHT_OF) if sphere.get(name) is not None)
    action[mark] = sphere[mark]
    sphere.animation_data.action = action
    column = 0
    for name, width in channels.items():
        for index in range(width):
            _write_curve(_new_curve(sphere, action, name, index), keys, column)
            column += 1
    # This moves the keys in memory, so it comes last.
    for curve in action_fcurves(action, getattr(sphere.animation_data, "action_slot", None)):
        curve.update()


def take_keys_off(sphere: bpy.types.Object) -> bool:
    """Take the ball's action off, as before a new one; returns whether it had any keys."""
    data: Any = sphere.animation_data
    had = data is not None and data.action is not None
    if had:
        _put_aside_action(sphere)
    return had


def _put_aside_action(sphere: bpy.types.Object) -> None:
    """Take the sphere's action off: an older one of ours goes, one of the user's is kept."""
    data = sphere.animation_data_create()
    old = data.action
    data.action = None
    if old is None or old.users:
        return
    if is_ours(old):
        remove_unused(old)
    else:
        old.use_fake_user = True


def _write_curve(curve: Any, keys: Keys, column: int) -> None:
    points, count = curve.keyframe_points, len(keys.frames)
    points.add(count)
    is_curved = keys.left is not None
    _set_pairs(points, "co", keys.frames, keys.values[:, column])
    _set_codes(points, "interpolation", np.full(count, _BEZIER if is_curved else _LINEAR))
    if is_curved:
        kinds = np.where(keys.corner, _FREE, _ALIGNED)
        for side, handles in (("left", keys.left), ("right", keys.right)):
            _set_codes(points, f"handle_{side}_type", kinds)
            _set_pairs(points, f"handle_{side}", handles[:, 0], handles[:, 1 + column])
    else:
        for side in ("left", "right"):
            _set_codes(points, f"handle_{side}_type", np.full(count, _AUTO_CLAMPED))


def _set_pairs(points: Any, name: str, frames: Any, values: Any) -> None:
    points.foreach_set(name, np.stack((frames, values), axis=1).astype(np.float32).ravel())


def _set_codes(points: Any, name: str, codes: Any) -> None:
    points.foreach_set(name, codes.astype(np.int32))


def _new_curve(sphere: bpy.types.Object, action: bpy.types.Action, name: str, index: int) -> Any:
    if hasattr(action, "fcurve_ensure_for_datablock"):  # actions got slots in 4.4
        return action.fcurve_ensure_for_datablock(sphere, name, index=index)
    return action.fcurves.new(name, index=index, action_group=sphere.name)
