# SPDX-License-Identifier: GPL-3.0-or-later
"""Loops of strides: the left foot lands on the first frame, the right one half a stride later."""

from collections.abc import Mapping

import bpy

from .channels import channel
from .keys import Runs, ensure_curve, set_slopes, write_keys

Keys = Mapping[int, float]


def pose_frames(*poses: int, step: int, last: int) -> frozenset[int]:
    """The frames of the given poses of the first step, in every step of a loop and on its repeat.

    step    frames from one foot's landing to the other's; last: the last frame that plays
    """
    frames = {pose + start for pose in poses for start in range(0, last, step)}
    return frozenset(frames | {last + 1} if 1 in poses else frames)


def half_stride_later(keys: Keys, stride: int) -> dict[int, float]:
    """A stride's keys for the other foot: moved by half a stride and wrapped onto the stride."""
    moved = {(frame - 1 + stride // 2) % stride + 1: value for frame, value in keys.items()}
    return {**dict(sorted(moved.items())), stride + 1: moved[1]}


def two_strides(keys: Keys, stride: int, second: Keys | None = None) -> dict[int, float]:
    """A stride's keys, then the second stride's own or the same ones again."""
    again = second or {frame + stride: value for frame, value in keys.items()}
    return {**keys, **again}


def key_loop(
    rig: bpy.types.Object,
    control: str,
    word: str,
    keys: Keys,
    *,
    extremes: frozenset[int],
    straight: Runs = (),
    slopes: Keys | None = None,
    cycles: str = "REPEAT",
) -> bpy.types.FCurve:
    """Key one word of a control as `write_keys` does, in metres or degrees; returns the curve.

    slopes    frame -> slope per frame, where handles are set by hand
    """
    target = channel(control, word)
    curve = ensure_curve(rig, target)
    values = {frame: target.scaled(value) for frame, value in keys.items()}
    write_keys(curve, values, extremes=extremes, straight=straight, cycles=cycles)
    if slopes:
        set_slopes(curve, {frame: target.scaled(slope) for frame, slope in slopes.items()})
    return curve


def declare_loop(rig: bpy.types.Object, first: int, repeat: int) -> None:
    """Say that the action plays as a loop that begins again on frame `repeat`."""
    action = rig.animation_data.action
    action.use_frame_range, action.use_cyclic = True, True
    action.frame_start, action.frame_end = first, repeat
