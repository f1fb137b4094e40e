# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass: faults planted in the polished faint by keys, as an animator makes them."""

from typing import Any

import bpy

from ..key_edits import stray_keys
from ..late_keys import hold_keys, retime_keys
from .controls import HEAD, SPINE, channels
from .motion import from_the_side

# control -> word -> by how much a stray key on one frame is off, degrees
_HEAD_FRAME, _HEAD_KEY = 14, {"head": {"tilt": 16.0}}
_HAND_FRAME, _HAND_KEY = 98, {"hand.R": {"swing": 38.0}}

_BODY = {"body": ("ahead", "up", "lean")}
# Since when, frame -> the frame whose pose it has and how many of those go by in a frame, until
# when: he leans back too early and waits there.
_HANGS = (25, {42: (59.6, 0.0), 55: (59.6, 0.0)}, 64)
# All of him but his back nearly stops in mid-fall, and lands so many frames later.
_LATE = 4
_HELD = (
    64,
    {
        66: (65.3, 0.3),
        69: (66.0, 0.3),
        71: (67.2, 0.9),
        **{frame: (frame - _LATE, 1.0) for frame in range(72, 88)},
    },
    88,
)

# The head keeps its turn from the first frame to the second and is back on the third.
_HEAD_STICKS = ({"head": ("turn",)}, 89, 93, 94)

PLANTED: tuple[dict[str, Any], ...] = (
    {
        "check": "pop",
        "part": "head",
        "frames": [_HEAD_FRAME, _HEAD_FRAME],
        "note": "A stray key tips the head sideways for one frame.",
    },
    {
        "check": "balance",
        "part": "root",
        "frames": [26, 63],
        "note": "He leans back too early, and hangs 12 cm behind his heels for half a second.",
    },
    {
        "check": "push",
        "part": "root",
        "frames": [65, 87],
        "note": "In mid-fall he nearly stops, as if held, and lands four frames later.",
    },
    {
        "check": "hitch",
        "part": "head",
        "frames": [90, 93],
        "note": "The head sticks as it rolls aside and catches up within a frame.",
    },
    {
        "check": "pop",
        "part": "hand.R",
        "frames": [_HAND_FRAME, _HAND_FRAME],
        "note": "A stray key lifts the right hand off the quay for one frame.",
    },
)


def plant(rig: bpy.types.Object) -> None:
    """Turn the polished faint into its first pass."""
    retime_keys(rig, _BODY, *_HANGS)
    retime_keys(rig, _fallen(), *_HELD)
    for frame, keys in ((_HEAD_FRAME, _HEAD_KEY), (_HAND_FRAME, _HAND_KEY)):
        stray_keys(rig, frame, keys)
    hold_keys(rig, *_HEAD_STICKS)


def _fallen() -> dict[str, list[str]]:
    """Control -> the words of body and limbs that the fall keys; the back bends as before."""
    words: dict[str, list[str]] = {}
    for control, word in channels(from_the_side()):
        if control not in (*SPINE, *HEAD):
            words.setdefault(control, []).append(word)
    return words
