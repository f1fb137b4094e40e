# SPDX-License-Identifier: GPL-3.0-or-later
"""A path cut into strokes: from one place where the point is slowest to the next.

Arcs and smoothness are properties of a stroke; over a whole shot they would be an average
of swings and of the rests between them.
"""

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# A stroke is over where the speed has fallen to this share of the peaks on both sides.
SLOW_SHARE = 0.4


@dataclass(frozen=True)
class Stroke:
    """Samples first..last, both included: the slow ends belong to the strokes beside them too."""

    first: int
    last: int

    @property
    def span(self) -> slice:
        """The samples of the stroke."""
        return slice(self.first, self.last + 1)


def turning_points(values: Floats) -> list[int]:
    """Samples at which a series (T,) turns from rising to falling or back, with both ends."""
    rising = np.sign(np.diff(values))
    moves = np.flatnonzero(rising)
    turns = moves[1:][rising[moves[1:]] != rising[moves[:-1]]]
    return [0, *(int(at) for at in turns), len(values) - 1]


def find_strokes(speed: Floats) -> list[Stroke]:
    """Cut at every minimum of speed (T,) that is slow against the peaks on both sides of it.

    A minimum counts when it is below 40 % of the lower one of the two peaks beside it.
    Plateaus count by their first sample. Fewer than three samples give no stroke.
    """
    if len(speed) < 3:
        return []
    cuts = [0]
    low, peak = 0, float(speed[0])
    lowest = np.inf
    for at in turning_points(speed)[1:]:
        value = float(speed[at])
        if value < lowest:
            lowest, low = value, at
        if lowest < SLOW_SHARE * min(peak, value) and low > cuts[-1]:
            cuts.append(low)
            peak, lowest, low = value, value, at
        elif value > peak:
            peak, lowest, low = value, value, at
    cuts.append(len(speed) - 1)
    return [Stroke(first, last) for first, last in itertools.pairwise(cuts) if last - first >= 2]
