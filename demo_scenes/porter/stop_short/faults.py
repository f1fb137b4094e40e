# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass: faults planted in the polished stop by keys, as an animator makes them."""

from math import radians
from typing import Any

import bpy

from ..channels import channel
from ..key_edits import find_curve, move_key, stray_key, stray_keys
from ..late_keys import hold_keys, stop_keys
from ..pan import pan_curve

# control -> word -> by how much a stray key on one frame is off, degrees
_ARM_FRAME, _ARM_KEY = 12, {"forearm.L": {"swing": 13.0}}
_HAND_FRAME, _HAND_KEY = 29, {"hand.R": {"swing": -22.0}}
# The braking foot lands short by so much and creeps to its place after the key on 29, in metres.
_SHORT = {24: -0.040, 25: -0.060, 29: -0.060}
# The body keeps its pose of the first frame up to the second, and is back on the third.
_BODY_HELD = ({"body": ("ahead", "up", "right", "lean")}, 45, 60, 64)

# The left arm leaves the swing on the first frame and hits its furthest pose ahead on the second;
# there it waits for the frames on which the polished pass gets there.
_ARM_STOPS = (
    {
        "shoulder.L": {"forward": 40, "shrug": 38},
        "upper_arm.L": {"swing": 40, "out": 40, "twist": 40},
        "forearm.L": {"swing": 42, "twist": 42},
        "hand.L": {"swing": 43, "out": 44},
    },
    27,
    35,
)
# Degrees by which a key of the camera is off for one frame.
_CAMERA_FRAME, _CAMERA_KEY = 19, {"yaw": 1.3, "pitch": -0.9}

PLANTED: tuple[dict[str, Any], ...] = (
    {
        "check": "pop",
        "part": "forearm.L",
        "frames": [_ARM_FRAME, _ARM_FRAME],
        "note": "A stray key bends the left elbow for one frame.",
    },
    {
        "check": "slide",
        "part": "foot.L",
        "frames": [23, 39],
        "note": "The braking foot lands short and creeps to its place while it stands.",
    },
    {
        "check": "hard_stop",
        "part": "hand.L",
        "frames": [28, 43],
        "note": "The left arm's keys have no ease: it swings up and stops dead.",
    },
    {
        "check": "camera_jump",
        "part": "camera",
        "frames": [_CAMERA_FRAME, _CAMERA_FRAME],
        "note": "A stray key on the camera turns it aside for one frame.",
    },
    {
        "check": "pop",
        "part": "hand.R",
        "frames": [_HAND_FRAME, _HAND_FRAME],
        "note": "A stray key on the right hand dips the boathook for one frame.",
    },
    {
        "check": "frozen",
        "part": "root",
        "frames": [46, 63],
        "note": "The body's keys are held: it stands dead while the arms fall back.",
    },
)


def plant(rig: bpy.types.Object) -> None:
    """Turn the polished stop into its first pass."""
    ahead = channel("foot_ik.L", "ahead")
    for frame, by in _SHORT.items():
        move_key(find_curve(rig, ahead), frame, ahead.scaled(by))
    for frame, keys in ((_ARM_FRAME, _ARM_KEY), (_HAND_FRAME, _HAND_KEY)):
        stray_keys(rig, frame, keys)
    stop_keys(rig, *_ARM_STOPS)
    for word, off in _CAMERA_KEY.items():
        curve = pan_curve(bpy.context.scene.camera, word)
        stray_key(curve, _CAMERA_FRAME, radians(off))
    hold_keys(rig, *_BODY_HELD)
