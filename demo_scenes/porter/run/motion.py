# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys the polished run on the porter's rig, from the pose tables."""

import bpy

from ..armature import SIDES
from ..channels import channel
from ..keys import Runs, ensure_curve, hit_keys, set_slopes, write_keys
from .arm_poses import ARM_POSES
from .body_poses import SECOND_STRIDE, STRIDE_POSES, STRIDE_SLOPES
from .feet import FOOT_IK, FOOT_ROLL, LAND, PLANTED_RUNS, half_stride_later
from .timing import EXTREMES, FIRST, LAST, REPEAT, SPEED, STEP, STRIDE


def animate(rig: bpy.types.Object) -> None:
    """Key the polished run on the rig."""
    travel = {FIRST: 0.0, REPEAT: SPEED * (REPEAT - FIRST)}
    _key(rig, "mover", "ahead", travel, straight=((FIRST, REPEAT),), cycles="REPEAT_OFFSET")
    for control, words in (STRIDE_POSES | ARM_POSES).items():
        for word, keys in words.items():
            second = SECOND_STRIDE.get(control, {}).get(word)
            slopes = _two_strides(STRIDE_SLOPES.get(control, {}).get(word, {}))
            _key(rig, control, word, _two_strides(keys, second), slopes=slopes)
    for side in SIDES:
        _key_foot(rig, side)
    action = rig.animation_data.action
    action.use_frame_range, action.use_cyclic = True, True
    action.frame_start, action.frame_end = FIRST, REPEAT


def _key_foot(rig: bpy.types.Object, side: str) -> None:
    tables = {"foot_ik": FOOT_IK, "foot_roll": FOOT_ROLL}
    for control, words in tables.items():
        for word, keys in words.items():
            stride = keys if side == "L" else half_stride_later(keys)
            runs = _planted_runs(side) if word == "ahead" else ()
            curve = _key(rig, f"{control}.{side}", word, _two_strides(stride), straight=runs)
            if word == "up":
                hit_keys(curve, range(LAND + _late(side), REPEAT + 1, STRIDE))


def _planted_runs(side: str) -> Runs:
    """The planted runs of one foot over the whole loop."""
    starts = range(_late(side), LAST, STRIDE)
    return tuple((a + start, b + start) for start in starts for a, b in PLANTED_RUNS)


def _late(side: str) -> int:
    """Frames by which a foot's keys come later than the left one's."""
    return 0 if side == "L" else STEP


def _two_strides(
    keys: dict[int, float], second: dict[int, float] | None = None
) -> dict[int, float]:
    """A stride's keys, then the second stride's own or the same ones again."""
    return keys | (second or {frame + STRIDE: value for frame, value in keys.items()})


def _key(
    rig: bpy.types.Object,
    control: str,
    word: str,
    keys: dict[int, float],
    *,
    straight: Runs = (),
    slopes: dict[int, float] | None = None,
    cycles: str = "REPEAT",
) -> bpy.types.FCurve:
    target = channel(control, word)
    values = {frame: target.scaled(value) for frame, value in keys.items()}
    curve = ensure_curve(rig, target)
    write_keys(curve, values, extremes=EXTREMES, straight=straight, cycles=cycles)
    if slopes:
        set_slopes(curve, {frame: target.scaled(slope) for frame, slope in slopes.items()})
    return curve
