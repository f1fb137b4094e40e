# SPDX-License-Identifier: GPL-3.0-or-later
"""The lows of a ball's height, and the arcs between those at which it bounces."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .extremes import Extreme, find_extremes

Floats = NDArray[np.float64]

# An arc rises and falls by this share of the height or more (1 cm at 1.7 m).
LEAST_RISE = 0.01 / 1.7
# A bounce that lies so near to a sample, in samples, is on it.
ON_IT = 1e-3


def find_lows(heights: Floats, scene_m: float) -> tuple[Extreme, ...]:
    """The lows of heights (T,), metres, in time's order; scene_m: how tall its figure is.

    It bounces where it comes down at once, is thrown up at once, or both. A low at which it does
    neither is smooth: there something carries it.
    """
    found = find_extremes(heights, LEAST_RISE * scene_m, bounces=True)
    return tuple(each for each in found if each.sign < 0)


def bounced_arcs(lows: Sequence[Extreme]) -> list[tuple[int, int]]:
    """First and last sample of each arc between two lows from which it is thrown up at once, and
    to which it comes down at once: what lies between is in the air."""
    return [
        (int(np.ceil(before.last - ON_IT)), int(np.floor(after.first + ON_IT)))
        for before, after in pairwise(lows)
        if before.goes and after.comes
    ]
