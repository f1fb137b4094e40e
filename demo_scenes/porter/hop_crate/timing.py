# SPDX-License-Identifier: GPL-3.0-or-later
"""Frames of the hop onto the crate and down again: 24 fps, plays once."""

FPS = 24
FIRST, LAST = 1, 103

LOW_1, LEAVE_1 = 12, 19  # crouched before the crate; the last frame on the quay
LAND_1, GIVE_1, STAND = 30, 36, 46  # on the crate: touch-down, knees at their deepest, risen
LIFT, SET = 48, 53  # the left foot steps up beside the right one
LOW_2, LEAVE_2 = 57, 64
LAND_2, GIVE_2, RISEN = 76, 82, 94  # down on the other side

EXTREMES = frozenset(
    (FIRST, LOW_1, LEAVE_1, LAND_1, GIVE_1, STAND, LOW_2, LEAVE_2, LAND_2, GIVE_2, RISEN, LAST)
)
FLIGHTS = ((LEAVE_1, LAND_1), (LEAVE_2, LAND_2))
HEEL_RISES = ((14, LEAVE_1), (59, LEAVE_2))
