# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass of the run: faults planted in the polished one by keys, as an animator makes them.

`PLANTED` says what was done, in the project's words for checks and parts.
"""

from typing import Any

import bpy

from ..channels import channel
from ..key_edits import drop_cycles, find_curve, freeze, move_last_key, shift_keys, stray_keys
from ..late_keys import hold_keys, straight_keys
from .timing import LAST

# The right foot's planted keys in the first stride, and how far each has slipped ahead, metres:
# an even drift from the landing on frame 9 on, made up for in the air.
_SLIDE_FROM, _SLIDE_KEYS = 9, {12: 0.0435, 13: 0.058}

# A stray key on the free forearm, degrees: for one frame the arm drops out of its swing.
_ARM_FRAME, _ARM_KEY = 21, {"forearm.L": {"swing": -17.0}}

# control -> word -> by how much its last key misses the first one, in degrees, and how fast the
# curve still runs there, in degrees a frame: the chest was posed anew at the start only
_SEAM_KEYS: dict[str, dict[str, tuple[float, float]]] = {
    "chest": {"turn": (9.0, 1.5), "lean": (6.0, 1.5)},
}
# Keys up to here keep the handles that they have in the polished pass.
_SEAM_KEEPS, _SEAM_DIFFERS = 30, 30

# The head's turn keeps the pose of the first frame up to the second, and is back on the third.
_GLANCE_HELD = ({"head": ("turn", "lean", "tilt")}, 17, 22, 23)
# The right arm's keys of two poses, on these frames, are linear, and there are none in between.
_ARM_LINEAR = (
    {
        "shoulder.R": ("forward",),
        "upper_arm.R": ("swing", "out"),
        "forearm.R": ("swing",),
        "hand.R": ("swing", "twist"),
    },
    6,
    14,
)

PLANTED: tuple[dict[str, Any], ...] = (
    {
        "check": "slide",
        "part": "foot.R",
        "frames": [_SLIDE_FROM + 1, max(_SLIDE_KEYS)],
        "note": "The right foot's planted keys drift ahead: the foot slips 6 cm while it stands.",
    },
    {
        "check": "pop",
        "part": "forearm.L",
        "frames": [_ARM_FRAME, _ARM_FRAME],
        "note": "A stray key on the left forearm drops the hand for one frame.",
    },
    {
        "check": "straight_run",
        "part": "hand.R",
        "frames": [7, 13],
        "note": "The right arm swings on linear keys: even, with a corner at both ends.",
    },
    {
        "check": "stuck_turn",
        "part": "head",
        "frames": [18, 22],
        "note": "The head's turn was left behind for five frames and snaps into the glance.",
    },
    {
        "check": "loop_seam",
        "part": "chest",
        "frames": [_SEAM_DIFFERS, LAST],
        "note": "The chest's last keys were not updated to the first ones and do not cycle.",
    },
)


def plant(rig: bpy.types.Object) -> None:
    """Turn the polished run into its first pass."""
    shift_keys(find_curve(rig, channel("foot_ik.R", "ahead")), _SLIDE_FROM, _SLIDE_KEYS)
    stray_keys(rig, _ARM_FRAME, _ARM_KEY)
    for control, misses in _SEAM_KEYS.items():
        for word, (miss, speed) in misses.items():
            target = channel(control, word)
            curve = find_curve(rig, target)
            freeze(curve, up_to=_SEAM_KEEPS)
            drop_cycles(curve)
            move_last_key(curve, target.scaled(miss), target.scaled(speed))
    hold_keys(rig, *_GLANCE_HELD)
    straight_keys(rig, *_ARM_LINEAR)
