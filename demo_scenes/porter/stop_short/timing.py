# SPDX-License-Identifier: GPL-3.0-or-later
"""Frames of the stop: 24 fps, plays once."""

FPS = 24
FIRST, LAST = 1, 66

RIGHT_LANDS = 13
BRAKES = 25  # the left heel lands far ahead
GIVES = 29  # lowest, the body leans back
RIGHT_LEAVES = 26  # the right foot's last frame behind
BESIDE = 37  # the right foot lands beside the left one
TIPS = 44  # up on the balls of the feet, over the edge

EXTREMES = frozenset({FIRST, RIGHT_LANDS, BRAKES, GIVES, BESIDE, TIPS, LAST})
