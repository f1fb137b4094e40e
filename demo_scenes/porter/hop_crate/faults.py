# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass of the hop: faults planted by keys, as an animator makes them.

`PLANTED` says what was done, in the project's words for checks and parts.
"""

from typing import Any

import bpy

from ..channels import channel
from ..key_edits import find_curve, rework, stray_keys
from ..late_keys import straight_keys
from .timing import FPS, GIVE_2, LAND_1, LAND_2, LEAVE_1, LEAVE_2, RISEN, SET

_SLIDES = 38
# control -> word -> by how much a stray key on one frame is off, degrees
_HEAD_FRAME, _HEAD_KEY = 8, {"head": {"lean": -16.0}}

# (frame, speed at which the run leaves it), {frame: (metres, metres a second)} in between,
# (frame, speed at which the run arrives); the two frames keep their values
_Run = tuple[tuple[int, float], dict[int, tuple[float, float]], tuple[int, float]]

_FLOAT: _Run = (
    (LEAVE_1, 2.3),
    {21: (0.288, 2.01), 23: (0.374, 0.4), 28: (0.4, 0.04)},
    (LAND_1, -4.90),
)
_HIGH_ARC: _Run = (
    (LEAVE_2, 1.6),
    {67: (0.695, 1.15), 70: (0.711, -0.98), 73: (0.442, -3.30)},
    (LAND_2, -5.96),
)
_DRIFT: _Run = (
    (_SLIDES, 0.0),
    {48: (0.79, 0.0), 49: (0.795, 0.5), 51: (0.895, 1.7)},
    (SET, 0.0),
)
_REWORKED = (
    ("body", "up", _FLOAT),
    ("body", "up", _HIGH_ARC),
    ("foot_ik.L", "ahead", _DRIFT),
)

# The body's keys of the two poses are linear, and there are none in between.
_BODY_LINEAR = ({"body": ("ahead", "up", "right", "lean", "turn")}, GIVE_2, RISEN)

PLANTED: tuple[dict[str, Any], ...] = (
    {
        "check": "hang_time",
        "part": "root",
        "frames": [LEAVE_1 + 1, LAND_1 - 1],
        "note": "The body control floats at the top of the hop up and drops late.",
    },
    {
        "check": "slide",
        "part": "foot.L",
        "frames": [_SLIDES + 1, SET - 1],
        "note": "The left foot drifts back over the crate until it steps.",
    },
    {
        "check": "gravity",
        "part": "root",
        "frames": [LEAVE_2 + 1, LAND_2 - 1],
        "note": "The arc of the hop down is much too high for the time that it takes.",
    },
    {
        "check": "pop",
        "part": "head",
        "frames": [_HEAD_FRAME, _HEAD_FRAME],
        "note": "A stray key throws the head back for one frame.",
    },
    {
        "check": "straight_run",
        "part": "root",
        "frames": [GIVE_2 + 1, RISEN - 1],
        "note": "The body rises on linear keys: a straight, even line with a corner at both ends.",
    },
)


def plant(rig: bpy.types.Object) -> None:
    """Turn the polished hop into its first pass."""
    for control, word, ((leave, leaving), keys, (arrive, arriving)) in _REWORKED:
        target = channel(control, word)
        a_frame = target.scaled(1.0) / FPS  # from metres a second to the channel per frame
        scaled = {
            frame: (target.scaled(value), speed * a_frame) for frame, (value, speed) in keys.items()
        }
        ends = (leave, leaving * a_frame), (arrive, arriving * a_frame)
        rework(find_curve(rig, target), ends[0], scaled, ends[1])
    stray_keys(rig, _HEAD_FRAME, _HEAD_KEY)
    straight_keys(rig, *_BODY_LINEAR)
