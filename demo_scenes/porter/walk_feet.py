# SPDX-License-Identifier: GPL-3.0-or-later
"""The feet of the walk, keyed once as a left foot that lands on frame 1.

The right foot has the same keys half a stride later. Metres and degrees; words as in channels.
`ahead` is counted from the rest pose, relative to the mover: while the foot is planted it
moves back exactly as fast as the mover travels, so that it stands still on the quay.
"""

from .walk_timing import SPEED

LAND, LEAVE = 1, 14  # heel strike; the last frame on which the ball is planted

_LANDS_AHEAD = 0.398


def _planted(frame: int) -> float:
    return _LANDS_AHEAD - SPEED * (frame - LAND)


FOOT_IK: dict[str, dict[int, float]] = {
    "ahead": {
        1: _planted(1),  # heel strike
        13: _planted(13),  # the other foot lands
        14: _planted(14),
        15: -0.559,  # toe-off
        16: -0.585,
        18: -0.436,  # passing
        20: -0.161,
        22: 0.176,  # reaching
        24: 0.385,
        25: _planted(1),
    },
    "up": {
        1: 0.0,
        13: 0.0,
        14: 0.0,
        15: 0.040,
        16: 0.134,
        18: 0.251,
        20: 0.138,
        22: 0.028,
        24: 0.007,
        25: 0.0,
    },
    "toes_up": {
        1: 28.8,  # heel strike
        2: 9.7,
        3: 1.7,
        5: 0.0,  # flat
        13: 0.0,
        14: 0.0,
        15: -7.7,
        16: -25.2,
        18: -49.8,  # toes trail
        20: -26.2,
        22: 4.0,
        24: 26.3,
        25: 28.8,
    },
    "apart": {1: -0.040, 13: -0.040, 14: -0.040, 18: -0.030, 25: -0.040},
    "toe_out": {1: 6.0, 13: 6.0, 14: 6.0, 18: 3.0, 25: 6.0},
}

FOOT_ROLL: dict[str, dict[int, float]] = {
    "heel_up": {
        1: 0.0,
        7: 0.0,  # still flat
        11: 5.7,  # heel-off
        13: 20.1,
        15: 45.3,  # up on the ball
        17: 25.9,
        19: 0.0,
        25: 0.0,
    },
}

KNEE_POLE: dict[str, dict[int, float]] = {"apart": {1: 0.02, 13: 0.02, 25: 0.02}}

# Within these runs `ahead` is one straight line, on both feet alike.
PLANTED_RUNS = ((LAND, 13), (13, LEAVE))
