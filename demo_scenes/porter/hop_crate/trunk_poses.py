# SPDX-License-Identifier: GPL-3.0-or-later
"""How hips, back and head turn: control -> word -> {frame: degrees}; words as in channels.

Where the body control travels stands in `body_path`. Each part comes a frame or more after what
carries it; neck and head give back what the back does, so that he looks where he will land.
"""

from ..keys import ShotTable

TRUNK: ShotTable = {
    "body": {
        "lean": {
            1: 3,
            12: 35,
            20: 13,
            25: 22,
            30: 26,
            36: 37,
            46: 7,
            49: 9,
            57: 34,
            65: 11,
            70: 22,
            76: 18,
            82: 34,
            94: 6,
            99: 4,
            103: 4,
        },
        "tilt": {1: 0, 42: 0, 48: -2.0, 53: 0.5, 57: 0},
        "turn": {1: 0, 12: 3, 19: 0, 30: -2, 36: -3, 46: 0, 57: 2, 64: 0, 76: -2, 84: -4, 103: 0},
    },
    "hips": {
        "lean": {1: 0, 12: 6, 19: -4, 25: 4, 36: 6, 46: 0, 57: 6, 64: -4, 70: 4, 82: 6, 94: 0},
    },
    "spine.1": {
        "lean": {
            1: 1,
            13: 8,
            20: -1,
            26: 7,
            37: 9,
            47: 1,
            58: 8,
            65: -1,
            71: 6,
            77: 4,
            83: 8,
            95: 1,
            103: 1,
        },
    },
    "spine.2": {
        "lean": {
            1: 1,
            13: 7,
            21: -2,
            26: 6,
            38: 9,
            48: 0,
            58: 7,
            66: -2,
            72: 5,
            77: 4,
            84: 8,
            96: 0,
            103: 1,
        },
    },
    "chest": {
        "lean": {
            1: 0,
            14: 3,
            21: -3,
            27: 3,
            38: 6,
            49: -1,
            59: 4,
            66: -3,
            72: 2,
            85: 6,
            97: -1,
            103: 0,
        },
        "turn": {1: 0, 14: -3, 21: 2, 38: 3, 50: -1, 59: -2, 66: 2, 85: 4, 103: 0},
    },
}

HEAD: ShotTable = {
    "neck": {
        "lean": {
            1: 1,
            13: -17,
            20: -1,
            27: -8,
            32: -10,
            39: -18,
            50: 4,
            59: -10,
            66: 2,
            72: 2,
            78: -4,
            85: -20,
            98: 0,
            103: 0,
        },
    },
    "head": {
        "lean": {
            1: 2,
            13: -22,
            21: 4,
            27: -4,
            32: -8,
            40: -22,
            51: 4,
            60: -12,
            67: 6,
            73: 6,
            79: -2,
            86: -24,
            98: -1,
            103: -1,
        },
        "turn": {1: 0, 44: 0, 49: 5, 54: 0},
    },
}
