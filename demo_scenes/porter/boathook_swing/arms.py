# SPDX-License-Identifier: GPL-3.0-or-later
"""The arms of the swing: the right one winds up and strikes, the left one balances.

Metres and degrees; swing is forward, on the forearm it bends the elbow; out is away from the body.
The wrist is cocked to 21, stays so while the arm sets off, and opens to 31: the tip arrives last.
"""

Table = dict[str, dict[str, dict[int, float]]]

RIGHT: Table = {
    "shoulder.R": {
        "shrug": {
            1: 0.0,
            8: -1.0,
            16: 8.0,
            21: 9.0,
            29: -3.0,
            38: -1.0,
            54: -1.0,
            70: 0.0,
            76: 0.0,
        },
        "forward": {1: 0.0, 16: -3.0, 22: -2.0, 28: 6.0, 38: 4.0, 54: 4.0, 72: 0.0, 76: 0.0},
    },
    "upper_arm.R": {
        "swing": {
            1: 4.0,
            6: -2.0,
            16: 48.0,
            20: 52.0,
            27: 22.0,
            31: 12.0,
            38: 12.0,
            54: 12.0,
            68: 3.0,
            76: 4.0,
        },
        "out": {
            1: 2.0,
            8: 6.0,
            16: 17.0,
            21: 24.0,
            27: 27.0,
            32: 20.0,
            40: 15.0,
            54: 15.0,
            70: 3.0,
            76: 2.0,
        },
    },
    "forearm.R": {
        "swing": {
            1: 12.0,
            7: 14.0,
            17: 88.0,
            21: 92.0,
            28: 16.0,
            32: 13.0,
            39: 20.0,
            55: 20.0,
            70: 11.0,
            76: 12.0,
        },
    },
    "hand.R": {
        "swing": {
            1: -10.0,
            8: -14.0,
            17: 12.0,
            22: 18.0,
            25: 15.0,
            31: -22.0,
            37: -12.0,
            44: -15.0,
            56: -15.0,
            71: -9.0,
            76: -10.0,
        },
        "twist": {
            1: 0.0,
            9: 0.0,
            13: -22.0,
            17: -36.0,
            21: -36.0,
            26: -8.0,
            31: 0.0,
            35: 0.0,
            40: 0.0,
            50: 0.0,
            57: 0.0,
            76: 0.0,
        },
    },
}

LEFT: Table = {
    "shoulder.L": {"shrug": {1: 0.0, 10: 1.0, 18: 4.0, 29: 1.0, 42: 1.0, 60: 0.0, 76: 0.0}},
    "upper_arm.L": {
        "swing": {
            1: 3.0,
            8: 6.0,
            18: 26.0,
            24: 18.0,
            31: -14.0,
            40: -8.0,
            56: -7.0,
            71: 2.0,
            76: 3.0,
        },
        "out": {1: -3.0, 9: 0.0, 19: 14.0, 31: 16.0, 42: 12.0, 57: 9.0, 72: -2.0, 76: -3.0},
    },
    "forearm.L": {
        "swing": {1: 12.0, 10: 18.0, 20: 46.0, 32: 24.0, 44: 22.0, 58: 20.0, 73: 13.0, 76: 12.0},
    },
    "hand.L": {"swing": {1: 2.0, 11: 0.0, 21: -8.0, 34: 6.0, 46: 3.0, 60: 3.0, 76: 2.0}},
}

ARMS: Table = {**LEFT, **RIGHT}
