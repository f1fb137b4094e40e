# SPDX-License-Identifier: GPL-3.0-or-later
"""The feet of the run, keyed once as a left foot that lands on frame 1.

The right foot has the same keys half a stride later. Metres and degrees; words as in channels.
`ahead` is counted from the rest pose, relative to the mover: while the foot is planted it
moves back exactly as fast as the mover travels, so that it stands still on the quay.
"""

from .timing import SPEED

# Heel strike; the last frame on which the ball is planted. The toes have one frame more.
LAND, LEAVE = 1, 4

_LANDS_AHEAD = 0.185


def _planted(frame: int) -> float:
    return _LANDS_AHEAD - SPEED * (frame - LAND)


FOOT_IK: dict[str, dict[int, float]] = {
    "ahead": {
        1: _planted(1),  # heel strike
        4: _planted(4),
        5: -0.381,  # on the tip of the toes
        6: -0.5111,  # in the air
        7: -0.5277,
        9: -0.3738,  # the other foot lands
        11: -0.1631,
        13: 0.153,  # the other foot leaves
        15: 0.3731,  # furthest ahead
        16: 0.3391,  # coming back to meet the quay
        17: _planted(1),
    },
    # `up` runs straight into the landing: the foot hits the quay
    "up": {
        1: 0.0,
        4: 0.0,
        5: 0.037,
        6: 0.2199,
        7: 0.3931,
        9: 0.4869,
        11: 0.298,
        13: 0.1605,
        15: 0.117,
        16: 0.0712,
        17: 0.0,
    },
    # rolled about the heel until the ball leaves on 4, then the whole foot trails
    "toes_up": {
        1: 9.0,
        2: 0.0,
        3: 0.0,
        4: 0.0,
        5: -8.0,
        6: -32.0,
        7: -60.0,
        9: -76.0,
        11: -50.0,
        13: -14.0,
        15: 4.0,
        16: 8.0,
        17: 9.0,
    },
    "apart": {1: -0.045, 5: -0.045, 9: -0.030, 13: -0.035, 17: -0.045},
    "toe_out": {1: 5.0, 5: 5.0, 9: 2.0, 17: 5.0},
}

FOOT_ROLL: dict[str, dict[int, float]] = {
    "heel_up": {
        1: 0.0,
        2: 0.0,
        3: 3.0,
        4: 20.0,
        5: 38.0,
        6: 18.0,
        7: 4.0,
        9: 0.0,
        11: 0.0,
        13: 0.0,
        15: 0.0,
        16: 0.0,
        17: 0.0,
    },
}

# Within these runs `ahead` is one straight line, on both feet alike.
PLANTED_RUNS = ((LAND, LEAVE),)
