# SPDX-License-Identifier: GPL-3.0-or-later
"""The feet: control -> word -> {frame: metres or degrees}; words as in channels.

`ahead` and `up` are those of the heel, counted from where it stands on frame 1. Between two equal
keys a foot is planted; heels rise and fall by the roll control alone meanwhile.
"""

from ..keys import ShotTable

# The knees go up and apart alike; only how far ahead they are differs.
_POLE_UP = {1: 0.0, 19: 0.0, 24: 0.45, 30: 0.4, 64: 0.4, 70: 0.55, 76: 0.0}
_POLE_APART = {
    1: 0.04,
    12: 0.1,
    24: 0.1,
    36: 0.14,
    46: 0.06,
    57: 0.12,
    64: 0.08,
    70: 0.12,
    82: 0.16,
    94: 0.08,
    103: 0.07,
}

# Where the heels go; in the flights they leave and arrive at their own speed.
FEET_PATHS: ShotTable = {
    "foot_ik.L": {
        "ahead": {
            1: 0.0,
            19: 0.0,
            20: 0.0323,
            22: 0.1091,
            24: 0.325,
            26: 0.5571,
            28: 0.7803,
            30: 0.87,
            48: 0.87,
            49: 0.884,
            51: 0.9335,
            53: 0.965,
            64: 0.965,
            65: 1.005,
            67: 1.1047,
            69: 1.3408,
            71: 1.5928,
            73: 1.7832,
            75: 1.8591,
            76: 1.92,
            103: 1.92,
        },
        "up": {
            1: 0.0,
            19: 0.0,
            20: 0.15,
            22: 0.4917,
            24: 0.6911,
            26: 0.7048,
            28: 0.597,
            30: 0.4,
            48: 0.4,
            49: 0.436,
            51: 0.462,
            53: 0.4,
            64: 0.4,
            65: 0.4738,
            67: 0.7897,
            69: 0.8841,
            71: 0.7885,
            73: 0.569,
            75: 0.1688,
            76: 0.0,
            103: 0.0,
        },
    },
    "foot_ik.R": {
        "ahead": {
            1: 0.0,
            19: 0.0,
            20: 0.0483,
            22: 0.1491,
            24: 0.389,
            26: 0.6371,
            28: 0.8603,
            30: 0.98,
            64: 0.98,
            65: 1.005,
            67: 1.0927,
            69: 1.3208,
            71: 1.5608,
            73: 1.7432,
            75: 1.8191,
            76: 1.88,
            103: 1.88,
        },
        "up": {
            1: 0.0,
            19: 0.0,
            20: 0.15,
            22: 0.5117,
            24: 0.7111,
            26: 0.7248,
            28: 0.617,
            30: 0.4,
            64: 0.4,
            65: 0.4738,
            67: 0.7677,
            69: 0.8621,
            71: 0.7665,
            73: 0.569,
            75: 0.1688,
            76: 0.0,
            103: 0.0,
        },
    },
}

# Of both; the left one settles on the crate besides.
_HEEL_UP = {
    1: 0.0,
    14: 0.0,
    17: 14.0,
    18: 25.0,
    19: 50.0,
    20: 44,
    22: 26,
    24: 10,
    26: 4,
    28: 6,
    30: 14.0,
    32: 0.0,
    59: 0.0,
    62: 15.0,
    63: 31.0,
    64: 50.0,
    65: 48,
    67: 24,
    69: 8,
    71: 4,
    73: 5,
    75: 22,
    76: 28.0,
    79: 0.0,
    103: 0.0,
}

# Heels rise by the roll; into a take-off ever faster, until the foot leaves.
HEELS: ShotTable = {
    "foot_roll.L": {
        "heel_up": _HEEL_UP | {45: 0.0, 48: 17.0, 49: 20.0, 51: 8.0, 53: 5.0, 55: 0.0},
    },
    "foot_roll.R": {
        "heel_up": _HEEL_UP,
    },
}

# Of both; the left one settles on the crate besides.
_TOES_UP = {
    1: 0.0,
    19: 0.0,
    20: -12,
    22: -36,
    24: -30,
    26: -13,
    28: 4,
    30: 0.0,
    64: 0.0,
    65: 0,
    67: -28,
    69: -20,
    71: -6,
    73: -1,
    75: 2,
    76: 0.0,
    103: 0.0,
}
_APART = {1: 0.01, 19: 0.01, 30: 0.03, 64: 0.03, 76: 0.05, 103: 0.05}
_TOE_OUT = {1: 7.0, 19: 7.0, 30: 9.0, 64: 9.0, 76: 11.0, 103: 11.0}

# How feet turn, and where the knees point.
FEET: ShotTable = {
    "foot_ik.L": {
        "toes_up": _TOES_UP | {48: 0.0, 49: -5.0, 51: -5.0, 53: 0.0},
        "apart": _APART,
        "toe_out": _TOE_OUT,
    },
    "knee_pole.L": {
        "ahead": {1: 0.0, 19: 0.2, 30: 1.0175, 64: 1.165, 76: 1.97, 103: 1.92},
        "up": _POLE_UP,
        "apart": _POLE_APART,
    },
    "foot_ik.R": {
        "toes_up": _TOES_UP,
        "apart": _APART,
        "toe_out": _TOE_OUT,
    },
    "knee_pole.R": {
        "ahead": {1: 0.0, 19: 0.2, 30: 1.08, 64: 1.18, 76: 1.93, 103: 1.88},
        "up": _POLE_UP,
        "apart": _POLE_APART,
    },
}
