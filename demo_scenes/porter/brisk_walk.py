# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `brisk_walk`: a porter walks along a quay, in a first and in a polished pass."""

import bpy

from .armature import SIDES
from .channels import channel
from .faults import PLANTED, plant
from .keys import Runs, ensure_curve, write_keys
from .quay import add_quay
from .shot import build_shot
from .walk_feet import FOOT_IK, FOOT_ROLL, KNEE_POLE, PLANTED_RUNS, half_stride_later
from .walk_poses import SECOND_STRIDE, STRIDE_POSES
from .walk_timing import EXTREMES, FIRST, FPS, LAST, REPEAT, SPEED, STRIDE

__all__ = ["NAME", "PLANTED", "animate", "build"]

NAME = "brisk_walk"


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
            _key(rig, control, word, _two_strides(keys, second))
    for side in SIDES:
        _key_foot(rig, side)
    action = rig.animation_data.action
    action.use_frame_range, action.use_cyclic = True, True
    action.frame_start, action.frame_end = FIRST, REPEAT


def _key_foot(rig: bpy.types.Object, side: str) -> None:
    tables = {"foot_ik": FOOT_IK, "foot_roll": FOOT_ROLL, "knee_pole": KNEE_POLE}
    for control, words in tables.items():
        for word, keys in words.items():
            stride = keys if side == "L" else half_stride_later(keys)
            runs = _planted_runs(side) if word == "ahead" else ()
            _key(rig, f"{control}.{side}", word, _two_strides(stride), straight=runs)


def _planted_runs(side: str) -> Runs:
    """The planted runs of one foot over the whole loop, those that wrap around cut in two."""
    late = 0 if side == "L" else STRIDE // 2
    runs = []
    for start in range(-STRIDE + late, LAST, STRIDE):
        runs += [(a + start, b + start) for a, b in PLANTED_RUNS]
    return tuple((a, b) for a, b in runs if a >= FIRST and b <= REPEAT)


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
    cycles: str = "REPEAT",
) -> None:
    target = channel(control, word)
    values = {frame: target.scaled(value) for frame, value in keys.items()}
    curve = ensure_curve(rig, target)
    write_keys(curve, values, extremes=EXTREMES, straight=straight, cycles=cycles)
