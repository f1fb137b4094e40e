# SPDX-License-Identifier: GPL-3.0-or-later
"""Frames of the brisk walk: 24 fps, a stride in 24 frames, two strides in the loop."""

from .strides import pose_frames

FPS = 24
STRIDE = 24
FIRST, LAST = 1, 48  # the range that plays; the first key is repeated on the frame after it
REPEAT = LAST + 1

# Metres per frame: 1.65 m/s, a step of 82.5 cm at 120 steps a minute.
SPEED = 1.65 / FPS

# The poses of the first step (left foot lands); the second step has them half a stride later.
# The legs pass each other in between, on 6.
CONTACT, DOWN, UP = 1, 3, 9

EXTREMES = pose_frames(CONTACT, DOWN, UP, step=STRIDE // 2, last=LAST)
