# SPDX-License-Identifier: GPL-3.0-or-later
"""Frames of the faint: 24 fps, plays once."""

FPS = 24
FIRST, LAST = 1, 108

FALLS = 50  # from here on his ankles no longer hold him: the fall is left to gravity
SITS = 75  # he lands on his seat
LIES = 78  # back and head are down
STILL = 92
EXTREMES = frozenset({FIRST, FALLS, SITS, LIES, STILL, LAST})
