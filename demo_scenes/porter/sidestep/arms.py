# SPDX-License-Identifier: GPL-3.0-or-later
"""The arms of the sidestep: the left one flies out and guards, the right one minds the boathook.

Metres and degrees; swing is forward, on the forearm it bends the elbow; out is away from the body.
"""

Table = dict[str, dict[str, dict[int, float]]]

LEFT: Table = {
    "shoulder.L": {
        "shrug": {1: 0.0, 9: 2.0, 14: 5.0, 22: 3.0, 29: 12.0, 38: 4.0, 48: -2.0, 60: 0.0, 72: 0.0},
        "forward": {1: 0.0, 12: 3.0, 28: 8.0, 42: 2.0, 72: 0.0},
    },
    "upper_arm.L": {
        "swing": {
            1: 2.0,
            9: 0.0,
            15: 14.0,
            22: 26.0,
            28: 30.0,
            36: 12.0,
            45: -4.0,
            54: 5.0,
            63: 1.0,
            72: 2.0,
        },
        "out": {
            1: -5.0,
            10: -4.0,
            16: 4.0,
            20: 14.0,
            25: 48.0,
            29: 56.0,
            35: 34.0,
            42: 16.0,
            49: 4.0,
            57: -1.0,
            64: -4.0,
            72: -5.0,
        },
        "twist": {1: 3.0, 16: 0.0, 28: -12.0, 40: 0.0, 50: 5.0, 72: 3.0},
    },
    "forearm.L": {
        "swing": {
            1: 10.0,
            10: 14.0,
            17: 44.0,
            23: 36.0,
            29: 54.0,
            37: 44.0,
            46: 20.0,
            55: 14.0,
            64: 11.0,
            72: 10.0,
        },
        "twist": {1: 4.0, 20: 8.0, 30: 20.0, 46: 6.0, 72: 4.0},
    },
    "hand.L": {
        "swing": {
            1: 2.0,
            12: 0.0,
            18: -10.0,
            26: 8.0,
            31: -14.0,
            40: 6.0,
            50: -3.0,
            60: 3.0,
            72: 2.0,
        },
        "out": {1: -3.0, 18: -8.0, 27: 8.0, 36: 0.0, 48: 2.0, 60: -2.0, 72: -3.0},
    },
}

# The wrist keeps the pole level while chest and arm lean; the elbow keeps it clear of the leg.
RIGHT: Table = {
    "shoulder.R": {
        "shrug": {1: -2.0, 10: 0.0, 15: -4.0, 23: 4.0, 30: 2.0, 40: -3.0, 50: -1.0, 72: -2.0}
    },
    "upper_arm.R": {
        "swing": {
            1: 4.0,
            10: 2.0,
            16: 2.0,
            22: -6.0,
            29: -8.0,
            37: -4.0,
            46: 4.0,
            56: 5.0,
            72: 4.0,
        },
        "out": {
            1: -2.0,
            11: -1.0,
            17: 6.0,
            23: -3.0,
            29: -9.0,
            37: -4.0,
            45: 0.0,
            54: -3.0,
            72: -2.0,
        },
    },
    "forearm.R": {"swing": {1: 8.0, 12: 12.0, 20: 22.0, 29: 28.0, 38: 16.0, 48: 9.0, 72: 8.0}},
    "hand.R": {
        "swing": {1: -10.1, 12: -8.4, 20: 5.0, 29: 9.5, 38: 3.3, 48: -2.2, 58: -11.2, 72: -10.1},
        "twist": {1: 0.0, 20: 0.0, 72: 0.0},
    },
}

ARMS: Table = {**LEFT, **RIGHT}
