# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass: faults planted in the polished stop by keys, as an animator makes them."""

from typing import Any

import bpy

from ..channels import channel
from ..key_edits import find_curve, move_key, stray_keys

# control -> word -> by how much a stray key on one frame is off, degrees
_ARM_FRAME, _ARM_KEY = 12, {"forearm.L": {"swing": 13.0}}
_CHEST_FRAME, _CHEST_KEY = 57, {"chest": {"tilt": 8.0}}
# The braking foot lands short by so much and creeps to its place after the key on 34, in metres.
_SHORT = {24: -0.040, 25: -0.060, 34: -0.060}

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
        "frames": [23, 45],
        "note": "The braking foot lands short and creeps to its place while it stands.",
    },
    {
        "check": "pop",
        "part": "chest",
        "frames": [_CHEST_FRAME, _CHEST_FRAME],
        "note": "A stray key on the chest tips it sideways for one frame.",
    },
)


def plant(rig: bpy.types.Object) -> None:
    """Turn the polished stop into its first pass."""
    ahead = channel("foot_ik.L", "ahead")
    for frame, by in _SHORT.items():
        move_key(find_curve(rig, ahead), frame, ahead.scaled(by))
    for frame, keys in ((_ARM_FRAME, _ARM_KEY), (_CHEST_FRAME, _CHEST_KEY)):
        stray_keys(rig, frame, keys)
