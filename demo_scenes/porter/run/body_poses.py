# SPDX-License-Identifier: GPL-3.0-or-later
"""The trunk of the run: control -> word -> {frame: metres or degrees}.

One stride, frames 1 to 17, left foot landing on 1 and right foot on 9; frame 17 repeats frame 1.
    contact 1, 9    down 3, 11    take-off 5, 13    flight 5 to 9, 13 to 17

The body's path is solved for the poses of the limbs, so that the centre of mass flies freely:
its keys carry their slopes as well, in STRIDE_SLOPES. It sinks and brakes on each foot, then
rises and goes on faster, and sways towards the standing foot by 7 mm.
"""

Table = dict[str, dict[str, dict[int, float]]]

BODY: Table = {
    "body": {
        "up": {
            1: -0.0129,
            3: -0.0534,
            5: -0.0021,
            7: 0.0177,
            9: -0.0151,
            11: -0.0543,
            13: -0.0007,
            15: 0.0202,
            17: -0.0129,
        },
        "right": {
            1: -0.0057,
            3: -0.0047,
            5: -0.0028,
            7: -0.0007,
            9: 0.0014,
            11: 0.0017,
            13: -0.0026,
            15: -0.0054,
            17: -0.0057,
        },
        "ahead": {
            1: 0.0158,
            3: -0.0107,
            5: -0.0173,
            7: 0.0043,
            9: 0.011,
            11: -0.0071,
            13: -0.0087,
            15: 0.0126,
            17: 0.0158,
        },
        "lean": {1: 9.0, 4: 10.5, 7: 8.5, 9: 9.0, 12: 10.5, 15: 8.5, 17: 9.0},
    },
    "hips": {
        # the side of the leading leg is ahead, most of all in flight
        "turn": {1: -6.0, 3: -1.5, 6: 6.5, 9: 6.0, 11: 1.5, 14: -6.5, 17: -6.0},
        # the swing side drops while the other leg takes the weight
        "tilt": {1: 0.5, 3: 3.5, 6: 0.5, 9: -0.5, 11: -3.5, 14: -0.5, 17: 0.5},
        "lean": {1: 1.0, 3: -1.0, 6: 2.5, 9: 1.0, 11: -1.0, 14: 2.5, 17: 1.0},
    },
}

SPINE: Table = {
    "spine.1": {
        "turn": {1: 1.5, 6: -2.5, 9: -1.5, 14: 2.5, 17: 1.5},
        "tilt": {1: -0.4, 4: -1.4, 9: 0.4, 12: 1.4, 17: -0.4},
        "lean": {1: 2.4, 4: 3.6, 8: 2.2, 9: 2.4, 12: 3.6, 16: 2.2, 17: 2.4},
    },
    "spine.2": {
        "turn": {1: 2.5, 6: -4.0, 9: -2.5, 14: 4.0, 17: 2.5},
        "tilt": {1: -0.3, 4: -1.2, 9: 0.3, 12: 1.2, 17: -0.3},
        "lean": {1: 2.4, 5: 3.4, 8: 2.1, 9: 2.4, 13: 3.4, 16: 2.1, 17: 2.4},
    },
    "chest": {
        "turn": {1: 4.0, 6: -6.0, 9: -4.0, 14: 6.0, 17: 4.0},
        "tilt": {1: -0.3, 4: -1.0, 9: 0.3, 12: 1.0, 17: -0.3},
        "lean": {1: 1.6, 5: 2.8, 9: 1.6, 13: 2.8, 17: 1.6},
    },
}

# Neck and head give back what the chest does, a little late, so that the eyes stay ahead.
HEAD: Table = {
    "neck": {
        "turn": {1: -1.5, 7: 2.5, 9: 1.5, 15: -2.5, 17: -1.5},
        "tilt": {1: 0.2, 5: 0.8, 9: -0.2, 13: -0.8, 17: 0.2},
        "lean": {1: -4.0, 5: -5.6, 9: -4.0, 13: -5.6, 17: -4.0},
    },
    "head": {
        "turn": {1: -2.2, 7: 3.2, 9: 2.2, 15: -3.2, 17: -2.2},
        "tilt": {1: 0.2, 5: 0.8, 9: -0.2, 13: -0.8, 17: 0.2},
        "lean": {1: -9.0, 6: -11.4, 9: -9.4, 14: -11.4, 17: -9.0},
    },
}

STRIDE_POSES: Table = {**BODY, **SPINE, **HEAD}

# Control -> word -> {frame: metres per frame}: how fast the body goes through its keys.
STRIDE_SLOPES: Table = {
    "body": {
        "up": {
            1: -0.03388,
            3: 0.01089,
            5: 0.02314,
            7: -0.00429,
            9: -0.03338,
            11: 0.01168,
            13: 0.02421,
            15: -0.00406,
            17: -0.03388,
        },
        "right": {
            1: 0.00063,
            3: -0.0001,
            5: 0.00091,
            7: 0.00117,
            9: 0.0008,
            11: -0.00064,
            13: -0.00205,
            15: -0.00081,
            17: 0.00063,
        },
        "ahead": {
            1: -0.00512,
            3: -0.0076,
            5: 0.01107,
            7: 0.00222,
            9: -0.00208,
            11: -0.00389,
            13: 0.01175,
            15: 0.00095,
            17: -0.00512,
        },
    },
}

# The second stride: a glance at the water on the left.
SECOND_STRIDE: Table = {
    "neck": {"turn": {17: -1.5, 22: 5.0, 26: 5.5, 30: 0.0, 33: -1.5}},
    "head": {
        "turn": {17: -2.2, 20: 2.0, 24: 12.0, 26: 11.5, 30: 0.0, 33: -2.2},
        "tilt": {17: 0.2, 22: 1.4, 26: -0.4, 29: -0.8, 33: 0.2},
    },
}
