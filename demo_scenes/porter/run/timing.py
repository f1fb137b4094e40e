# SPDX-License-Identifier: GPL-3.0-or-later
"""Frames of the run: 24 fps, a stride in 16 frames, two strides in the loop."""

from ..strides import pose_frames

FPS = 24
STRIDE = 16
STEP = STRIDE // 2
FIRST, LAST = 1, 32  # the range that plays; the first key is repeated on the frame after it
REPEAT = LAST + 1

# Metres per frame: 3.4 m/s, a step of 1.13 m at 180 steps a minute.
SPEED = 3.4 / FPS

# The poses of the first step (left foot lands); the second step has them half a stride later.
# From OFF to the next CONTACT no foot touches the floor; the body is highest in between.
CONTACT, DOWN, OFF = 1, 3, 5

EXTREMES = pose_frames(CONTACT, DOWN, OFF, step=STEP, last=LAST)
