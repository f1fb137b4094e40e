# SPDX-License-Identifier: GPL-3.0-or-later
"""The arms of the stop: both swing through once the feet stand, then fall back.

Metres and degrees; swing is forward, on the forearm it bends the elbow; out is away from the
body. Before the first key of each line the brisk walk goes on.
"""

Table = dict[str, dict[str, dict[int, float]]]

LEFT: Table = {
    "shoulder.L": {
        "forward": {25: -4.0, 32: 0.0, 40: 8.0, 50: 1.0, 66: 0.0},
        "shrug": {25: 0.6, 30: -1.5, 38: 7.0, 46: 3.0, 55: -1.0, 66: 0.0},
    },
    "upper_arm.L": {
        "swing": {25: -21.0, 32: 0.0, 40: 38.0, 47: 16.0, 54: -2.0, 59: 3.6, 64: 3.2, 66: 3.2},
        "out": {25: -6.5, 33: 4.0, 40: 20.0, 48: 11.0, 55: -3.0, 62: -5.0, 66: -5.0},
        "twist": {25: 2.0, 40: -4.0, 52: 4.0, 66: 3.0},
    },
    "forearm.L": {
        "swing": {25: 11.0, 33: 20.0, 42: 48.0, 49: 24.0, 56: 9.5, 62: 11.4, 66: 11.2},
        "twist": {25: 4.0, 42: 10.0, 54: 5.0, 66: 4.0},
    },
    "hand.L": {
        "swing": {25: 3.5, 33: -10.0, 43: 12.0, 50: -8.0, 56: 4.0, 62: 2.0, 66: 2.0},
        "out": {25: -3.0, 36: -7.0, 44: 4.0, 54: -4.0, 66: -3.0},
    },
}

# The wrist lets the pole dip and rise once; it is heavy and comes to rest last.
RIGHT: Table = {
    "shoulder.R": {
        "forward": {25: 1.6, 32: -1.0, 40: 4.0, 50: 0.0, 66: 0.0},
        "shrug": {25: -0.9, 30: -3.5, 39: 2.0, 48: -3.0, 58: -2.0, 66: -2.0},
    },
    "upper_arm.R": {
        "swing": {25: 13.0, 31: 8.0, 40: 30.0, 48: 10.0, 55: 2.0, 62: 4.2, 66: 4.0},
        "out": {25: -2.5, 32: 0.0, 40: 5.0, 49: 1.0, 66: -2.0},
        "twist": {25: -1.0, 40: 1.0, 66: 0.0},
    },
    "forearm.R": {"swing": {25: 8.0, 32: 9.0, 41: 22.0, 50: 10.0, 57: 7.0, 63: 8.2, 66: 8.0}},
    "hand.R": {
        "swing": {
            -10: 0.0,
            -4: -8.0,
            1: -15.0,
            3: -14.5,
            9: -6.5,
            14: 0.0,
            20: -10.7,
            25: -31.5,
            31: -43.5,
            39: -24.2,
            46: -15.3,
            53: -12.8,
            60: -10.9,
            66: -10.1,
        },
        "twist": {25: -7.5, 34: -4.0, 44: 2.0, 56: 0.0, 66: 0.0},
    },
}

ARMS: Table = {**LEFT, **RIGHT}
