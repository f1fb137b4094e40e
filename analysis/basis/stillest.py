# SPDX-License-Identifier: GPL-3.0-or-later
"""The stillest spot of a sole: heel, ball, toe, or where it turns between two of them.

A foot that turns on its ball moves heel and toe both, and still stands: the spot between them
does not move. (The instantaneous centre of rotation; any textbook of kinematics.)
"""

import itertools

import numpy as np
from numpy.typing import NDArray

from .contacts import Soles
from .ground import LOW_SHARE

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def stillest_steps(soles: Soles, height_m: float) -> Floats:
    """(T-1,3) level way of the spot that moves least from each sample to the next, metres.

    Spots lie on the sole's points or on the straight way between two of them that stand on
    the same ground, where it is low (3.5 cm at 1.7 m) at both samples. Infinite where no spot
    is low.
    """
    low = (soles.clearance < LOW_SHARE * height_m) & soles.sole.known
    steps = soles.steps * [1.0, 1.0, 0.0]
    best = np.full(steps.shape[::2], np.inf)
    size = np.full(len(best), np.inf)
    for way, usable in _candidates(soles, steps, low, LOW_SHARE * height_m):
        length = np.where(usable, np.linalg.norm(way, axis=-1), np.inf)
        better = length < size
        best[better], size[better] = way[better], length[better]
    return best


def _candidates(
    soles: Soles, steps: Floats, low: Bools, level: float
) -> list[tuple[Floats, Bools]]:
    """Ways (T-1,3) of spots, and (T-1,) whether each is low."""
    count = steps.shape[1]
    found = [(steps[:, n], low[1:, n] & low[:-1, n]) for n in range(count)]
    for a, b in itertools.combinations(range(count), 2):
        least, most = _low_part(soles, a, b, level)
        gap = steps[:, b] - steps[:, a]
        square = np.maximum(np.sum(gap * gap, axis=-1), 1e-18)
        at = np.clip(-np.sum(steps[:, a] * gap, axis=-1) / square, least, np.maximum(least, most))
        known = soles.sole.known[:, a] & soles.sole.known[:, b]
        same = soles.which[:, a] == soles.which[:, b]
        both = known[1:] & known[:-1] & same[1:] & same[:-1]
        found.append((steps[:, a] + at[:, None] * gap, both & (least <= most)))
    return found


def _low_part(soles: Soles, a: int, b: int, level: float) -> tuple[Floats, Floats]:
    """From where to where (T-1,) on the way from point a to b (0 to 1) it is low at a sample
    and at the next one; the first beyond the second where it is nowhere."""
    above = soles.clearance[:, a] - level
    rise = soles.clearance[:, b] - soles.clearance[:, a]
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = np.where(rise == 0.0, np.where(above < 0.0, np.inf, -np.inf), -above / rise)
    least = np.where(rise < 0.0, np.maximum(crossing, 0.0), 0.0)
    most = np.where(rise < 0.0, 1.0, np.minimum(crossing, 1.0))
    return np.maximum(least[1:], least[:-1]), np.minimum(most[1:], most[:-1])
