# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass: faults of the boathook planted in the polished swing by keys."""

from typing import Any

import bpy

from ..channels import channel
from ..key_edits import find_curve, move_key
from ..late_keys import hold_keys
from .timing import STRIKES

# The wound-up pole leans over into the head.
_LEANS = {13: 26.0, 17: 40.0}
# The wrist keeps its pose from the first frame to the second; on the third it is right again.
_LOCKED = (STRIKES, 30, 36)
# The pole turns round towards the camera and stays so.
_POINTS = {40: -47.0, 50: -47.0}

PLANTED: tuple[dict[str, Any], ...] = (
    {
        "check": "prop_clash",
        "part": "prop.1",
        "by": "hand.R",
        "frames": [10, 20],
        "note": "The boathook cuts through the head as it is wound up.",
    },
    {
        "check": "stiff_prop",
        "part": "prop.1",
        "by": "hand.R",
        "frames": [22, 35],
        "note": "The wrist is locked through the strike: no drag, the pole is glued to the arm.",
    },
    {
        "check": "edge_on",
        "part": "prop.1",
        "by": "hand.R",
        "frames": [36, 56],
        "note": "The boathook points at the camera while he stands.",
    },
)


def plant(rig: bpy.types.Object) -> None:
    """Turn the polished swing into its first pass."""
    twist = channel("hand.R", "twist")
    for frame, degrees in {**_LEANS, **_POINTS}.items():
        move_key(find_curve(rig, twist), frame, twist.scaled(degrees))
    hold_keys(rig, {"hand.R": ("swing", "twist")}, *_LOCKED)
