# SPDX-License-Identifier: GPL-3.0-or-later
"""Frames of the swing: 24 fps, plays once."""

FPS = 24
FIRST, LAST = 1, 76

DIPS = 7  # knees give before the pole goes up
WOUND_UP = 17  # furthest back over the shoulder
STRIKES = 21  # the arm sets off; the wrist stays cocked
HITS = 28  # the arm arrives, the tip is still on its way
SETTLED = 38
RECOVERS = 54

EXTREMES = frozenset({FIRST, DIPS, WOUND_UP, HITS, SETTLED, RECOVERS, LAST})
