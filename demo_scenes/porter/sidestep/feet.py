# SPDX-License-Identifier: GPL-3.0-or-later
"""The feet of the sidestep: the left one steps out and back, the right one stays on its ball.

Metres and degrees from the rest pose; words as in channels.
    left: leaves 13, lands outside 21, pushes back to 35, lands on its place 43
"""

Table = dict[str, dict[str, dict[int, float]]]

_HOME, _OUT = 0.015, 0.560

LEFT: Table = {
    "foot_ik.L": {
        "apart": {
            1: _HOME,
            13: _HOME,
            15: 0.085,
            17: 0.270,
            19: 0.455,
            20: 0.525,
            21: _OUT,
            35: _OUT,
            37: 0.480,
            39: 0.300,
            41: 0.105,
            43: _HOME,
            72: _HOME,
        },
        "up": {
            1: 0.0,
            13: 0.0,
            15: 0.058,
            17: 0.092,
            19: 0.058,
            20: 0.028,
            21: 0.0,
            35: 0.0,
            36: 0.022,
            37: 0.066,
            39: 0.085,
            41: 0.050,
            43: 0.0,
            72: 0.0,
        },
        "toes_up": {
            1: 0.0,
            13: 0.0,
            16: -12.0,
            19: 3.0,
            21: 0.0,
            35: 0.0,
            37: -9.0,
            40: -8.0,
            43: 0.0,
            72: 0.0,
        },
        "toe_out": {1: 9.0, 13: 9.0, 21: 20.0, 35: 20.0, 43: 9.0, 72: 9.0},
    },
    "foot_roll.L": {
        "heel_up": {
            1: 0.0,
            11: 0.0,
            13: 8.0,
            15: 16.0,
            18: 0.0,
            21: 0.0,
            31: 0.0,
            35: 16.0,
            37: 22.0,
            40: 4.0,
            43: 0.0,
            72: 0.0,
        }
    },
    "knee_pole.L": {"apart": {1: 0.06, 13: 0.06, 21: 0.72, 35: 0.72, 43: 0.06, 72: 0.06}},
}

RIGHT: Table = {
    "foot_ik.R": {"apart": {1: _HOME}, "toe_out": {1: 9.0}},
    "foot_roll.R": {"heel_up": {1: 0.0, 14: 0.0, 20: 14.0, 28: 20.0, 34: 13.0, 41: 0.0, 72: 0.0}},
    "knee_pole.R": {
        "apart": {1: 0.06, 13: 0.06, 20: 0.0, 28: -0.06, 35: -0.02, 43: 0.06, 72: 0.06}
    },
}

FEET: Table = {**LEFT, **RIGHT}
