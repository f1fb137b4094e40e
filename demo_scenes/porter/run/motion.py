# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys the polished run on the porter's rig, from the pose tables."""

from functools import partial

import bpy

from ..armature import SIDES
from ..keys import Runs, hit_keys
from ..strides import declare_loop, half_stride_later, key_loop, two_strides
from .arm_poses import ARM_POSES
from .body_poses import SECOND_STRIDE, STRIDE_POSES, STRIDE_SLOPES
from .feet import FOOT_IK, FOOT_ROLL, LAND, PLANTED_RUNS
from .timing import EXTREMES, FIRST, LAST, REPEAT, SPEED, STEP, STRIDE

_key = partial(key_loop, extremes=EXTREMES)


def animate(rig: bpy.types.Object) -> None:
    """Key the polished run on the rig."""
    travel = {FIRST: 0.0, REPEAT: SPEED * (REPEAT - FIRST)}
    _key(rig, "mover", "ahead", travel, straight=((FIRST, REPEAT),), cycles="REPEAT_OFFSET")
    for control, words in (STRIDE_POSES | ARM_POSES).items():
        for word, keys in words.items():
            second = SECOND_STRIDE.get(control, {}).get(word)
            slopes = two_strides(STRIDE_SLOPES.get(control, {}).get(word, {}), STRIDE)
            _key(rig, control, word, two_strides(keys, STRIDE, second), slopes=slopes)
    for side in SIDES:
        _key_foot(rig, side)
    declare_loop(rig, FIRST, REPEAT)


def _key_foot(rig: bpy.types.Object, side: str) -> None:
    tables = {"foot_ik": FOOT_IK, "foot_roll": FOOT_ROLL}
    for control, words in tables.items():
        for word, keys in words.items():
            stride = keys if side == "L" else half_stride_later(keys, STRIDE)
            runs = _planted_runs(side) if word == "ahead" else ()
            curve = _key(rig, f"{control}.{side}", word, two_strides(stride, STRIDE), straight=runs)
            if word == "up":
                hit_keys(curve, range(LAND + _late(side), REPEAT + 1, STRIDE))


def _planted_runs(side: str) -> Runs:
    """The planted runs of one foot over the whole loop."""
    starts = range(_late(side), LAST, STRIDE)
    return tuple((a + start, b + start) for start in starts for a, b in PLANTED_RUNS)


def _late(side: str) -> int:
    """Frames by which a foot's keys come later than the left one's."""
    return 0 if side == "L" else STEP
