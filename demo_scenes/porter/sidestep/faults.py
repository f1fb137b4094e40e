# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass: faults planted in the polished sidestep by keys, as an animator makes them."""

from typing import Any

import bpy

from ..channels import channel
from ..key_edits import find_curve, move_key, replace_keys, stray_keys
from ..late_keys import hold_keys, start_keys
from .timing import EXTREME, FIRST, LANDS_OUT, LEAVES_OUT

# control -> word -> by how much a stray key on one frame is off, metres or degrees
_HEAD_FRAME, _HEAD_KEY = 8, {"head": {"tilt": 16.0}}
_BODY_FRAME, _BODY_KEY = 55, {"body": {"right": 0.030, "up": -0.024}}
# The body's way out and back is even between these frames: at the extreme it turns around in one
# frame, though no foot could push it so hard.
_EVEN_FROM, _EVEN_TO = 18, 38
# How much further out the foot stands when it leaves, in metres: it has followed the body in.
_SLIP = -0.065

# The left arm keeps the pose of the first frame up to the second, then flies out without ease.
_ARM_STARTS = (
    {
        "shoulder.L": {"shrug": 29, "forward": 28},
        "upper_arm.L": {"swing": 28, "out": 29, "twist": 28},
        "forearm.L": {"swing": 29, "twist": 30},
        "hand.L": {"swing": 26, "out": 27},
    },
    FIRST,
    18,
)
# It comes down again: its swing keeps the pose of the first frame up to the second and is back on
# the third.
_ARM_HELD = ({"upper_arm.L": ("swing", "out"), "forearm.L": ("swing",)}, 38, 41, 42)

PLANTED: tuple[dict[str, Any], ...] = (
    {
        "check": "pop",
        "part": "head",
        "frames": [_HEAD_FRAME, _HEAD_FRAME],
        "note": "A stray key tips the head sideways for one frame.",
    },
    {
        "check": "slide",
        "part": "foot.L",
        "frames": [LANDS_OUT + 1, LEAVES_OUT + 1],
        "note": "The left foot slips inwards while it stands outside and pushes back.",
    },
    {
        "check": "straight_run",
        "part": "root",
        "frames": [_EVEN_FROM + 1, _EVEN_TO - 1],
        "note": "The body goes out and back on linear keys and turns around in one frame.",
    },
    {
        "check": "hard_start",
        "part": "hand.L",
        "frames": [2, 29],
        "note": "The left arm hangs dead and flies out at full speed, without ease.",
    },
    {
        "check": "hitch",
        "part": "hand.L",
        "frames": [39, 41],
        "note": "The left arm's keys are held for three frames and caught up in one.",
    },
    {
        "check": "pop",
        "part": "root",
        "frames": [_BODY_FRAME, _BODY_FRAME],
        "note": "A stray key on the body control drops it aside for one frame.",
    },
)


def plant(rig: bpy.types.Object) -> None:
    """Turn the polished sidestep into its first pass."""
    _turn_at_once(rig)
    apart = channel("foot_ik.L", "apart")
    move_key(find_curve(rig, apart), LEAVES_OUT, apart.scaled(_SLIP))
    for frame, keys in ((_HEAD_FRAME, _HEAD_KEY), (_BODY_FRAME, _BODY_KEY)):
        stray_keys(rig, frame, keys)
    start_keys(rig, *_ARM_STARTS)
    hold_keys(rig, *_ARM_HELD)


def _turn_at_once(rig: bpy.types.Object) -> None:
    """Lay linear keys to the extreme, which stays where it is, and back."""
    curve = find_curve(rig, channel("body", "right"))
    extreme = next(key.co.y for key in curve.keyframe_points if round(key.co.x) == EXTREME)
    straight = {_EVEN_FROM, EXTREME}, {EXTREME, _EVEN_TO}
    replace_keys(
        curve,
        _EVEN_FROM,
        {EXTREME: extreme},
        _EVEN_TO,
        straight_out=straight[0],
        straight_into=straight[1],
    )
