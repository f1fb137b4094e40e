# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `brisk_walk`: a porter walks along a quay, in a first and in a polished pass."""

from functools import partial

import bpy

from .armature import SIDES
from .faults import PLANTED, plant
from .keys import Runs
from .quay import add_quay
from .shot import build_shot
from .strides import declare_loop, half_stride_later, key_loop, two_strides
from .walk_feet import FOOT_IK, FOOT_ROLL, KNEE_POLE, PLANTED_RUNS
from .walk_poses import SECOND_STRIDE, STRIDE_POSES
from .walk_timing import EXTREMES, FIRST, FPS, LAST, REPEAT, SPEED, STRIDE

__all__ = ["NAME", "PLANTED", "animate", "build"]

NAME = "brisk_walk"
_key = partial(key_loop, extremes=EXTREMES)


def build(polished: bool) -> bpy.types.Object:
    """Build figure, set and animation into the current, emptied scene; return the armature."""
    return build_shot(
        NAME,
        polished,
        fps=FPS,
        frames=(FIRST, LAST),
        add_set=add_quay,
        animate=animate,
        plant=plant,
    )


def animate(rig: bpy.types.Object) -> None:
    """Key the polished walk on the rig."""
    travel = {FIRST: 0.0, REPEAT: SPEED * (REPEAT - FIRST)}
    _key(rig, "mover", "ahead", travel, straight=((FIRST, REPEAT),), cycles="REPEAT_OFFSET")
    for control, words in STRIDE_POSES.items():
        for word, keys in words.items():
            second = SECOND_STRIDE.get(control, {}).get(word)
            _key(rig, control, word, two_strides(keys, STRIDE, second))
    for side in SIDES:
        _key_foot(rig, side)
    declare_loop(rig, FIRST, REPEAT)


def _key_foot(rig: bpy.types.Object, side: str) -> None:
    tables = {"foot_ik": FOOT_IK, "foot_roll": FOOT_ROLL, "knee_pole": KNEE_POLE}
    for control, words in tables.items():
        for word, keys in words.items():
            stride = keys if side == "L" else half_stride_later(keys, STRIDE)
            runs = _planted_runs(side) if word == "ahead" else ()
            _key(rig, f"{control}.{side}", word, two_strides(stride, STRIDE), straight=runs)


def _planted_runs(side: str) -> Runs:
    """The planted runs of one foot over the whole loop, those that wrap around cut in two."""
    late = 0 if side == "L" else STRIDE // 2
    runs = []
    for start in range(-STRIDE + late, LAST, STRIDE):
        runs += [(a + start, b + start) for a, b in PLANTED_RUNS]
    return tuple((a, b) for a, b in runs if a >= FIRST and b <= REPEAT)
