# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a value turns smoothly between its samples."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Places between two samples that are looked at.
BETWEEN = 40


def smooth_top(values: Floats, at: int) -> tuple[float, float]:
    """When a smooth top of values (T,) near a sample is reached, in samples, and how far it goes:
    by the polynomial through the five samples around."""
    count = min(len(values), 5)
    first = int(np.clip(at - 2, 0, len(values) - count))
    factors = _quartic(count) @ values[first : first + count]
    middle = 0.5 * (count - 1)
    low, high = max(at - first - 1.0, 0.0) - middle, min(at - first + 1.0, count - 1.0) - middle
    fine = np.linspace(low, high, 2 * BETWEEN + 1)
    place = float(fine[np.argmax(np.polyval(factors, fine))])
    slope = np.polyder(factors)
    bend = float(np.polyval(np.polyder(slope), place))
    if bend < 0.0:  # one step of Newton's, from the nearest place
        place = min(max(place - float(np.polyval(slope, place)) / bend, low), high)
    return first + middle + place, float(np.polyval(factors, place))


@lru_cache(maxsize=8)
def _quartic(count: int) -> Floats:
    """(N,N): what takes so many values to the factors, highest first, of the polynomial through
    them, about their middle."""
    rows = np.asarray(np.linalg.inv(np.vander(np.arange(count) - 0.5 * (count - 1))))
    rows.flags.writeable = False
    return rows
