# SPDX-License-Identifier: GPL-3.0-or-later
"""Frames of the sidestep: 24 fps, plays once."""

FPS = 24
FIRST, LAST = 1, 72

COILS = 11  # knees give, weight on the right foot
LEAVES = 13  # the left foot's last frame on its place
LANDS_OUT = 21
EXTREME = 28  # furthest to the left; the hook passes a frame later
LEAVES_OUT = 35  # the left foot's last frame outside: it has pushed back
LANDS_BACK = 43

EXTREMES = frozenset({FIRST, COILS, LANDS_OUT, EXTREME, LEAVES_OUT, LANDS_BACK, LAST})
