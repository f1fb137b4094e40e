# SPDX-License-Identifier: GPL-3.0-or-later
"""The arms of the run, driven against the legs: control -> word -> {frame: degrees}.

The left arm is ahead while the left leg pushes off (5) and behind while the right one does (13).
Forearm and hand come a frame later than the upper arm.
"""

from .body_poses import Table

LEFT_ARM: Table = {
    "shoulder.L": {
        "forward": {1: -4.0, 6: 6.0, 9: 3.0, 14: -7.0, 17: -4.0},
        "shrug": {1: 1.0, 3: -2.0, 7: 2.0, 9: 1.0, 11: -2.0, 15: 2.0, 17: 1.0},
    },
    "upper_arm.L": {
        "swing": {1: -28.0, 3: -3.0, 6: 22.0, 9: 4.0, 11: -22.0, 14: -48.0, 17: -28.0},
        "out": {1: 4.0, 6: 1.0, 9: 3.0, 14: 8.0, 17: 4.0},
        "twist": {1: 7.0, 6: 14.0, 9: 11.0, 14: 4.0, 17: 7.0},
    },
    "forearm.L": {
        "swing": {1: 76.0, 3: 82.0, 7: 100.0, 11: 86.0, 15: 72.0, 17: 76.0},
        "twist": {1: 10.0, 7: 16.0, 15: 8.0, 17: 10.0},
    },
    "hand.L": {
        "swing": {1: 4.0, 4: -6.0, 8: 4.0, 12: 8.0, 16: 5.0, 17: 4.0},
        "out": {1: -4.0, 8: -8.0, 16: -4.0, 17: -4.0},
    },
}

# The right arm carries the boathook: it drives like a piston, and the wrist keeps the pole level.
RIGHT_ARM: Table = {
    "shoulder.R": {
        "forward": {1: 3.0, 6: -5.0, 9: -3.0, 14: 5.0, 17: 3.0},
        "shrug": {1: 0.5, 3: -2.5, 7: 1.5, 9: 0.5, 11: -2.5, 15: 1.5, 17: 0.5},
    },
    "upper_arm.R": {
        "swing": {1: -12.0, 3: -20.0, 6: -38.0, 9: -28.0, 11: -17.0, 14: -3.0, 17: -12.0},
        "out": {1: 4.0, 6: 7.0, 9: 6.0, 14: 2.0, 17: 4.0},
    },
    "forearm.R": {
        "swing": {1: 44.0, 3: 50.0, 6: 66.0, 9: 58.0, 11: 50.0, 14: 38.0, 17: 44.0},
    },
    "hand.R": {
        "swing": {1: -21.6, 3: -15.1, 6: -11.1, 9: -16.9, 11: -18.4, 14: -21.6, 17: -21.6},
        "twist": {1: -15.4, 3: -2.8, 6: 9.6, 9: 5.4, 11: -5.9, 14: -21.1, 17: -15.4},
    },
}

ARM_POSES: Table = {**LEFT_ARM, **RIGHT_ARM}
