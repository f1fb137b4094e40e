# SPDX-License-Identifier: GPL-3.0-or-later
"""How much feet tremble from frame to frame, as captured ones do: the noise of their height.

A smooth path has small fourth differences, and independent noise of standard deviation s has
fourth differences of sqrt(70) s (the root of the sum of the squared binomials 1 4 6 4 1). Taken
where feet are low: there they move least. The smallest quarter of the stillest point tells it, so
that what moves does not count.
"""

from collections.abc import Sequence
from math import comb, sqrt
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from .contacts import Soles

Floats = NDArray[np.float64]

# Low is under this share of the height (6 cm at 1.7 m); fewer low stretches tell nothing.
LOW_SHARE, FEWEST = 0.06 / 1.7, 8
ORDER = 4
# A quarter of what is normally distributed about zero is nearer to it than so many standard
# deviations.
QUARTER, NEARER = 0.25, 0.3186


def tremble_of(soles: Sequence["Soles"], height_m: float) -> float:
    """Standard deviation of the noise in the height of sole points, metres; 0 where unknown."""
    found: list[float] = []
    for each in soles:
        usable = (each.clearance.min(axis=1) < LOW_SHARE * height_m) & each.sole.known.all(axis=1)
        if len(usable) <= ORDER:
            continue
        whole = np.lib.stride_tricks.sliding_window_view(usable, ORDER + 1).all(axis=1)
        if np.count_nonzero(whole) < FEWEST:
            continue
        fourth = np.diff(each.sole.points[..., 2], n=ORDER, axis=0)[whole]
        least = np.quantile(np.abs(fourth), QUARTER, axis=0)
        found.append(float(least.min()) / (NEARER * sqrt(comb(2 * ORDER, ORDER))))
    return min(found, default=0.0)
