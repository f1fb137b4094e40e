# SPDX-License-Identifier: GPL-3.0-or-later
"""The feet of the stop: the left heel brakes, the right foot comes up beside it.

Metres and degrees from the rest pose; words as in channels. `ahead` is counted from the rest
pose of frame 1 over the quay: the mover does not travel.
    left: last swing 15 to 24, heel lands 25, flat 30, stays
    right: leaves after 26, lands beside 37, stays
"""

Table = dict[str, dict[str, dict[int, float]]]

BRAKE, BESIDE = 2.07, 2.04  # where the left and the right foot end
TOES_STOP = BRAKE + 0.215  # the tip of the toes lies so far ahead of the foot at rest

LEFT: Table = {
    "foot_ik.L": {
        "ahead": {22: 1.635, 24: 1.985, 25: BRAKE, 29: BRAKE, 40: BRAKE, 66: BRAKE},
        "up": {22: 0.034, 24: 0.010, 25: 0.0, 66: 0.0},
        "toes_up": {22: 4.0, 24: 27.0, 25: 30.0, 26: 18.0, 27: 8.0, 29: 1.0, 31: 0.0, 66: 0.0},
        "apart": {25: -0.035, 66: -0.035},
        "toe_out": {25: 6.0, 66: 6.0},
    },
    "foot_roll.L": {"heel_up": {19: 0.0, 36: 0.0, 44: 8.0, 53: 0.0, 66: 0.0}},
    "knee_pole.L": {
        "ahead": {21: 1.375, 25: 1.65, 30: 1.95, 38: 2.10, 46: 2.13, 66: 2.13},
        "apart": {25: 0.02, 66: 0.03},
    },
}

RIGHT: Table = {
    "foot_ik.R": {
        "ahead": {
            27: 1.2285,
            28: 1.262,
            30: 1.470,
            32: 1.740,
            34: 1.945,
            36: 2.028,
            37: BESIDE,
            66: BESIDE,
        },
        "up": {27: 0.040, 28: 0.122, 30: 0.185, 32: 0.130, 34: 0.075, 36: 0.026, 37: 0.0, 66: 0.0},
        "toes_up": {27: -7.7, 28: -24.0, 30: -40.0, 32: -24.0, 34: -8.0, 36: 0.0, 37: 0.0, 66: 0.0},
        "apart": {26: -0.040, 31: -0.020, 37: 0.025, 66: 0.025},
        "toe_out": {26: 6.0, 31: 3.0, 37: 11.0, 66: 11.0},
    },
    "foot_roll.R": {"heel_up": {27: 45.3, 29: 26.0, 31: 0.0, 38: 0.0, 45: 8.0, 54: 0.0, 66: 0.0}},
    "knee_pole.R": {
        "ahead": {21: 1.375, 25: 1.65, 30: 1.95, 38: 2.10, 46: 2.13, 66: 2.13},
        "apart": {25: 0.02, 37: 0.08, 66: 0.08},
    },
}

FEET: Table = {**LEFT, **RIGHT}
