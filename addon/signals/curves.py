# SPDX-License-Identifier: GPL-3.0-or-later
"""From signals to F-curves: a value a frame, straight between them, on properties of the empty.

They are samples, which Blender draws and plays as it does keys, and which no editor moves: keys on
each frame would fill the timeline, and stepping from key to key would stop on all of them.
"""

from collections.abc import Sequence
from itertools import cycle
from typing import Any

import bpy
import numpy as np

from ...analysis.signals import Signal
from ..sampling.curves import action_fcurves
from .ours import NAME, SIGNALS_OF, is_signals

# Blender's codes for linear keys and for handles that do not overshoot.
_LINEAR, _AUTO_CLAMPED = 1, 4
# Frames that are so near to whole ones are these.
_WHOLE = 1e-4
# The palette by Okabe and Ito (2008), which no colour blindness hides, sRGB of 0 to 255.
COLOURS = (
    (86, 180, 233),
    (230, 159, 0),
    (0, 158, 115),
    (204, 121, 167),
    (240, 228, 66),
    (213, 94, 0),
)
# Blender cuts names of custom properties that are longer, in bytes.
_MOST_BYTES = 63


def write_signals(item: bpy.types.Object, frames: Any, signals: Sequence[Signal]) -> int:
    """Key signals on an empty; returns how many curves it has.

    frames (T,)  of the action's time; where a signal is not known there is no key

    Curves that are there already keep how they are shown. Values are held as float32. Where a
    stretched time puts frames between whole ones, the curves have keys after all.
    """
    told = {_short(each.name): each.values for each in signals if np.isfinite(each.values).any()}
    paths = {f'["{bpy.utils.escape_identifier(name)}"]': name for name in told}
    if {each.data_path for each in _curves(item)} != set(paths):
        _renew(item, told, paths)
    for curve in _curves(item):
        values = told[paths[curve.data_path]]
        known = np.isfinite(values)
        _write(curve, np.stack((frames[known], values[known]), axis=1))
    return len(paths)


def _renew(item: bpy.types.Object, told: dict[str, Any], paths: dict[str, str]) -> None:
    """Other properties, and an action with a curve for each."""
    data = item.animation_data_create()
    old, data.action = data.action, None
    if old is not None and is_signals(old) and not old.users:
        bpy.data.batch_remove([old])
    for name in [each for each in item.keys() if each != SIGNALS_OF]:  # noqa: SIM118 - no dict
        del item[name]
    action = bpy.data.actions.new(NAME)
    action[SIGNALS_OF] = item[SIGNALS_OF]
    data.action = action
    for name in told:
        item[name] = 0.0
    for path, colour in zip(paths, cycle(COLOURS)):
        curve = _new_curve(item, action, path)
        curve.lock = True
        # Left to Blender they would be black, as no editor has made them.
        curve.color_mode = "CUSTOM"
        curve.color = tuple(amount / 255.0 for amount in colour)


def _write(curve: Any, places: Any) -> None:
    """Give a curve values at frames (N,2), and none else."""
    if len(curve.sampled_points):
        curve.convert_to_keyframes(0, 1)
    keys, count = curve.keyframe_points, len(places)
    keys.clear()
    keys.add(count)
    keys.foreach_set("co", places.astype(np.float32).ravel())
    for name, code in (
        ("interpolation", _LINEAR),
        ("handle_left_type", _AUTO_CLAMPED),
        ("handle_right_type", _AUTO_CLAMPED),
    ):
        keys.foreach_set(name, np.full(count, code, dtype=np.int32))
    curve.update()  # from now on the keys are elsewhere in memory
    whole = np.round(places[:, 0])
    if np.abs(places[:, 0] - whole).max() < _WHOLE:
        curve.convert_to_samples(int(whole[0]), int(whole[-1]) + 1)


def _curves(item: bpy.types.Object) -> list[Any]:
    data = item.animation_data
    if data is None or data.action is None:
        return []
    return action_fcurves(data.action, getattr(data, "action_slot", None))


def _new_curve(item: bpy.types.Object, action: bpy.types.Action, path: str) -> Any:
    if hasattr(action, "fcurve_ensure_for_datablock"):  # actions got slots in 4.4
        return action.fcurve_ensure_for_datablock(item, path)
    return action.fcurves.new(path)


def _short(name: str) -> str:
    """A name that Blender keeps whole: the unit stays, the part's own name is cut."""
    while len(name.encode()) > _MOST_BYTES:
        first, space, rest = name.partition(" ")
        name = first[:-1] + space + rest if first[:-1] else rest
    return name
