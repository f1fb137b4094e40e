# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass: faults planted on controls of the polished jump."""

from collections.abc import Iterator
from typing import Any

import bpy
import numpy as np

from ..captured.fcurves import bone_path, find_fcurve
from ..porter.key_edits import replace_keys
from ..rigify_human.beziers import frozen
from ..rigify_human.faults import read_keys, spike, write_keys

# In the crouch, and as the arms go up in flight.
_ROOT_FRAME, _ROOT_M = 12, 0.04
_HAND_FRAME, _HAND_M = 23, 0.08
# After landing the right foot, which bears more, creeps ahead from the one frame to the other.
_SLIDE_FRAMES, _SLIDE_M = (33, 43), 0.07
# As the left arm goes up in flight; and as the right one swings back after the landing.
_STRAIGHT = (20, 25)
_HELD, _BACK = (34, 37), 38

PLANTED: tuple[dict[str, Any], ...] = (
    {
        "check": "pop",
        "part": "root",
        "frames": [_ROOT_FRAME, _ROOT_FRAME],
        "note": "A stray key on the torso control pushes the body aside for one frame.",
    },
    {
        "check": "pop",
        "part": "hand.R",
        "frames": [_HAND_FRAME, _HAND_FRAME],
        "note": "A stray key on the right hand's IK control drops the hand for one frame.",
    },
    {
        "check": "slide",
        "part": "foot.R",
        "frames": list(_SLIDE_FRAMES),
        "note": "The right foot's IK control is keyed ever further ahead after the landing.",
    },
    {
        "check": "straight_run",
        "part": "hand.L",
        "frames": list(_STRAIGHT),
        "note": "The left hand's IK control has two linear keys and nothing between them.",
    },
    {
        "check": "hitch",
        "part": "hand.R",
        "frames": [_HELD[0] + 1, _HELD[1]],
        "note": "A key of the right hand's IK control is held, and it catches up in one frame.",
    },
)


def plant(rig: bpy.types.Object) -> None:
    """Turn the polished jump into its first pass."""
    spike(rig, "torso", _ROOT_FRAME, _ROOT_M, axis="x")
    spike(rig, "hand_ik.R", _HAND_FRAME, -_HAND_M, axis="z")
    _slide(rig, "foot_ik.R")
    _straighten(rig, "hand_ik.L", *_STRAIGHT)
    _hold(rig, "hand_ik.R", *_HELD, _BACK)


def _slide(rig: bpy.types.Object, control: str) -> None:
    """Move a foot's keys after the landing ahead, each further than the one before.

    The foot's control rests along the world's axes and stands in the root's space, so its
    second channel goes backwards. Handles are frozen and move along, so that the curve stays as
    it is up to the landing.
    """
    curve = find_fcurve(rig, bone_path(control, "location"), 1)
    keys = frozen(read_keys(curve))
    share = np.interp(keys.points[..., 0], _SLIDE_FRAMES, (0.0, 1.0))
    keys.points[..., 1] -= _SLIDE_M * share
    write_keys(curve, keys)


def _straighten(rig: bpy.types.Object, control: str, first: int, last: int) -> None:
    """Leave a control nothing but linear keys on two frames between these."""
    for curve in _curves(rig, control):
        replace_keys(curve, first, {}, last, straight_into=(last,), straight_out=(first,))
        (key,) = [each for each in curve.keyframe_points if round(each.co.x) == first]
        key.interpolation = "LINEAR"


def _hold(rig: bpy.types.Object, control: str, first: int, last: int, back: int) -> None:
    """Keep a control on frame `first`'s key up to `last`; on `back` it is where it was."""
    for curve in _curves(rig, control):
        replace_keys(curve, first, {last: curve.evaluate(first)}, back)


def _curves(rig: bpy.types.Object, control: str) -> Iterator[bpy.types.FCurve]:
    """The curves of a control's place and turn."""
    for prop, count in (("location", 3), ("rotation_quaternion", 4)):
        for index in range(count):
            yield find_fcurve(rig, bone_path(control, prop), index)
