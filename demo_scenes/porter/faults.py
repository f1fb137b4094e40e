# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass: faults planted in the polished walk by keys and range, as an animator makes them.

`PLANTED` says what was done, in the project's words for checks and parts.
"""

from typing import Any

import bpy

from .channels import channel
from .key_edits import curves_of, drop_cycles, find_curve, freeze, move_last_key, stray_keys
from .late_keys import hold_keys
from .walk_timing import REPEAT

# control -> word -> by how much its last key misses the first one, in degrees, and how fast the
# curve still runs there, in degrees a frame: the arm is cut off before the end of its swing
_SEAM_KEYS: dict[str, dict[str, tuple[float, float]]] = {
    "upper_arm.L": {"swing": (3.9, -1.4)},
    "forearm.L": {"swing": (3.0, -0.6)},
}
# Keys up to here keep the handles that they have in the polished pass; the arm then differs
# from the frame after its key on 37 on.
_SEAM_KEEPS, _SEAM_DIFFERS = 39, 38

# control -> word -> by how much a stray key on one frame is off, metres or degrees
_NECK_FRAME, _NECK_KEY = 8, {"neck": {"tilt": 6.5}}
_BODY_FRAME, _BODY_KEY = 31, {"body": {"right": 0.025, "up": -0.021}}

# The left arm's swing keeps the pose of the first frame up to the second, and is back on the third.
_ARM_HELD = ({"upper_arm.L": ("swing",), "forearm.L": ("swing",)}, 16, 19, 20)

PLANTED: tuple[dict[str, Any], ...] = (
    {
        "check": "double_frame",
        "part": None,
        "frames": [REPEAT, REPEAT],
        "note": "The range plays to frame 49, which repeats frame 1.",
    },
    {
        "check": "loop_seam",
        "part": "upper_arm.L",
        "frames": [_SEAM_DIFFERS, REPEAT],
        "note": "The left arm's last keys were not updated to the first ones and do not cycle.",
    },
    {
        "check": "pop",
        "part": "neck",
        "frames": [_NECK_FRAME, _NECK_FRAME],
        "note": "A stray key on the neck tips the head sideways for one frame.",
    },
    {
        "check": "hitch",
        "part": "hand.L",
        "frames": [17, 19],
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
    """Turn the polished walk into its first pass."""
    bpy.context.scene.frame_end = REPEAT
    for control, words in _SEAM_KEYS.items():
        for curve in curves_of(rig, control):
            freeze(curve, up_to=_SEAM_KEEPS)
            drop_cycles(curve)
        for word, (miss, speed) in words.items():
            target = channel(control, word)
            move_last_key(find_curve(rig, target), target.scaled(miss), target.scaled(speed))
    for frame, keys in ((_NECK_FRAME, _NECK_KEY), (_BODY_FRAME, _BODY_KEY)):
        stray_keys(rig, frame, keys)
    hold_keys(rig, *_ARM_HELD)
