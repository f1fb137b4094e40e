# SPDX-License-Identifier: GPL-3.0-or-later
"""The body of the walk: control -> word -> {frame: metres or degrees}.

One stride, frames 1 to 25, left foot landing on 1 and right foot on 13; frame 25 repeats
frame 1. `SECOND_STRIDE` holds what the second stride does differently, on frames 25 to 49.
    contact 1, 13    down 3, 15    passing 6, 18    up 9, 21
Trunk: lean is forward, turn is to the figure's left, tilt is to its right (left side up).
Arms: swing is forward, on the forearm it bends the elbow; out is away from the body.
Keys that sit off these frames overlap on purpose: the part drags behind what carries it.
"""

Table = dict[str, dict[str, dict[int, float]]]

BODY: Table = {
    "body": {
        # lowest just after contact, highest after passing: 4.4 cm
        "up": {
            1: -0.064,
            3: -0.067,
            6: -0.037,
            9: -0.023,
            13: -0.064,
            15: -0.067,
            18: -0.037,
            21: -0.023,
            25: -0.064,
        },
        # over the standing foot: left while the left foot stands
        "right": {1: 0.004, 7: -0.020, 13: -0.004, 19: 0.020, 25: 0.004},
        # a little faster after each landing, slower over the standing foot
        "ahead": {1: -0.005, 5: 0.009, 11: -0.009, 13: -0.005, 17: 0.009, 23: -0.009, 25: -0.005},
        "lean": {1: 3.2, 4: 3.7, 10: 2.8, 13: 3.2, 16: 3.7, 22: 2.8, 25: 3.2},
    },
    "hips": {
        # the side of the leading leg is ahead
        "turn": {1: -6.0, 7: -0.4, 13: 6.0, 19: 0.4, 25: -6.0},
        # the swing side drops as it leaves the floor
        "tilt": {1: -0.8, 5: 3.6, 10: 1.4, 13: 0.8, 17: -3.6, 22: -1.4, 25: -0.8},
        "lean": {1: 0.8, 7: -0.4, 13: 0.8, 19: -0.4, 25: 0.8},
    },
}

SPINE: Table = {
    "spine.1": {
        "turn": {1: 0.8, 7: 0.2, 13: -0.8, 19: -0.2, 25: 0.8},
        "tilt": {1: 0.1, 6: -0.3, 13: -0.1, 18: 0.3, 25: 0.1},
        "lean": {1: 1.2, 5: 1.5, 11: 0.9, 13: 1.2, 17: 1.5, 23: 0.9, 25: 1.2},
    },
    "spine.2": {
        "turn": {1: 1.6, 7: 0.4, 13: -1.6, 19: -0.4, 25: 1.6},
        "tilt": {1: 0.1, 6: -0.3, 13: -0.1, 18: 0.3, 25: 0.1},
        "lean": {1: 0.8, 6: 1.1, 12: 0.6, 13: 0.7, 18: 1.1, 24: 0.6, 25: 0.8},
    },
    "chest": {
        "turn": {1: 2.4, 7: 0.8, 13: -2.4, 19: -0.8, 25: 2.4},
        "tilt": {1: 0.2, 7: -0.5, 13: -0.2, 19: 0.5, 25: 0.2},
        "lean": {1: 0.2, 6: 0.6, 12: 0.0, 13: 0.1, 18: 0.6, 24: 0.0, 25: 0.2},
    },
}

# Neck and head give back what the chest does, a little late, so that the eyes stay level.
HEAD: Table = {
    "neck": {
        "turn": {1: -1.9, 7: -0.7, 13: 1.9, 19: 0.7, 25: -1.9},
        "tilt": {1: -0.2, 7: 0.6, 13: 0.2, 19: -0.6, 25: -0.2},
        "lean": {1: -1.4, 5: -2.0, 11: -1.0, 13: -1.4, 17: -2.0, 23: -1.0, 25: -1.4},
    },
    "head": {
        "turn": {1: -2.2, 7: -0.9, 13: 2.2, 19: 0.9, 25: -2.2},
        "tilt": {1: -0.2, 7: 0.5, 13: 0.2, 19: -0.5, 25: -0.2},
        "lean": {1: -3.2, 5: -4.0, 11: -2.6, 13: -3.2, 17: -4.0, 23: -2.6, 25: -3.2},
    },
}

LEFT_ARM: Table = {
    "shoulder.L": {
        "forward": {1: -4.0, 7: -0.5, 13: 4.0, 19: 0.5, 25: -4.0},
        "shrug": {1: 0.6, 5: -1.4, 11: 1.2, 13: 0.6, 17: -1.4, 23: 1.2, 25: 0.6},
    },
    "upper_arm.L": {
        "swing": {1: -21.0, 7: -1.0, 13: 21.0, 19: 3.0, 25: -21.0},
        "out": {1: -6.5, 7: -8.0, 13: -6.5, 19: -8.0, 25: -6.5},
        "twist": {1: 2.0, 7: 3.0, 13: 8.0, 19: 6.0, 25: 2.0},
    },
    "forearm.L": {
        "swing": {1: 11.0, 3: 9.0, 9: 15.0, 13: 24.0, 15: 26.5, 21: 18.0, 25: 11.0},
        "twist": {1: 4.0, 9: 5.0, 15: 8.0, 21: 6.0, 25: 4.0},
    },
    "hand.L": {
        "swing": {1: 3.5, 9: -6.0, 13: -2.5, 21: 6.0, 25: 3.5},
        "out": {1: -3.0, 4: -1.0, 10: -4.0, 16: -6.0, 22: -4.0, 25: -3.0},
    },
}

# The right arm carries the boathook: it swings less, and the wrist keeps the pole level.
RIGHT_ARM: Table = {
    "shoulder.R": {
        "forward": {1: 1.6, 7: 0.4, 13: -1.6, 19: -0.4, 25: 1.6},
        "shrug": {1: -0.9, 5: -2.4, 11: -0.2, 13: -0.9, 17: -2.4, 23: -0.2, 25: -0.9},
    },
    "upper_arm.R": {
        "swing": {1: 13.0, 7: 6.0, 13: -3.0, 19: 4.0, 25: 13.0},
        "out": {1: -2.5, 7: -2.0, 13: -1.5, 19: -2.0, 25: -2.5},
        "twist": {1: -1.0, 13: 1.0, 25: -1.0},
    },
    "forearm.R": {
        "swing": {1: 8.0, 3: 8.6, 9: 7.4, 15: 5.4, 21: 6.6, 25: 8.0},
    },
    "hand.R": {
        "swing": {1: -15.0, 3: -14.5, 9: -6.5, 14: 0.0, 20: -8.0, 25: -15.0},
        "twist": {1: -7.5, 3: -8.0, 9: -2.0, 15: 4.0, 21: -3.0, 25: -7.5},
    },
}

STRIDE_POSES: Table = {**BODY, **SPINE, **HEAD, **LEFT_ARM, **RIGHT_ARM}

# The second stride: a glance at the water on the left, and a bigger swing of the free arm.
SECOND_STRIDE: Table = {
    "neck": {
        "turn": {25: -1.9, 30: 3.0, 37: 9.0, 43: 5.0, 49: -1.9},
    },
    "head": {
        "turn": {25: -2.2, 28: -1.0, 33: 14.0, 37: 17.0, 41: 15.0, 45: 3.0, 49: -2.2},
        "lean": {25: -3.2, 30: -1.4, 37: -3.8, 43: -2.4, 49: -3.2},
        "tilt": {25: -0.2, 31: 1.2, 37: -0.6, 43: -0.3, 49: -0.2},
    },
    "upper_arm.L": {
        "swing": {25: -21.0, 31: 0.0, 37: 24.5, 43: 4.0, 49: -21.0},
    },
    "forearm.L": {
        "swing": {25: 11.0, 27: 9.0, 33: 15.5, 37: 27.0, 39: 29.5, 45: 19.0, 49: 11.0},
    },
}
