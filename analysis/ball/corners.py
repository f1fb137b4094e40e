# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a value turns at once: two ways that meet in a corner between two samples."""

from dataclasses import dataclass
from functools import lru_cache
from math import copysign, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# It comes, or goes, at once where its speed at the turn is so much of what it had on the samples
# beside: at a corner all of it or more, at a smooth turn next to nothing.
AT_ONCE = 0.5
# So many samples on either side tell how it comes and goes, at the most.
BESIDE = 4
# Two parabolas may meet so far, in samples, beside the two samples that they meet between.
NEARLY = 1e-3


@dataclass(frozen=True)
class Corner:
    """Where two ways meet in a corner: sample, value, by how much the speed changes there, and
    whether the one comes, and the other goes, at once."""

    at: float
    value: float
    change: float
    comes: bool
    goes: bool


def corner_at(values: Floats, at: int, least: int, most: int) -> Corner | None:
    """The corner of a top near a sample; None where it turns smoothly. It is told by samples from
    `least` to `most`."""
    found = []
    for before in (at - 1, at):
        first, last = max(before - BESIDE + 1, least), min(before + BESIDE, most)
        found.append(_met(values, first, before, last))
    return max((each for each in found if each), key=lambda each: each.change, default=None)


def _met(values: Floats, first: int, before: int, last: int) -> Corner | None:
    """Where the way up to sample `before` and the way from the next one on meet between both."""
    left = parabola(values[first : before + 1], first - before)
    right = parabola(values[before + 1 : last + 1], 1)
    if left is None or right is None:
        return None
    meet = Parabola(*(a - b for a, b in zip(left, right, strict=True))).zeros(0.0, 1.0)
    if not meet:
        return None
    at = max(meet, key=lambda time: left.slope(time) - right.slope(time))
    rise, fall = left.slope(at), -right.slope(at)
    paces = (
        float(values[before] - values[first]) / (before - first),
        float(values[before + 1] - values[last]) / (last - before - 1),
    )
    comes, goes = rise >= AT_ONCE * paces[0], fall >= AT_ONCE * paces[1]
    if not (comes or goes) or rise + fall < AT_ONCE * sum(paces):
        return None
    return Corner(before + at, left.value(at), rise + fall, comes, goes)


class Parabola(NamedTuple):
    """value, slope and half the bend at time 0, in samples."""

    constant: float
    linear: float
    square: float

    def value(self, time: float) -> float:
        """Its value at a time."""
        return self.constant + time * (self.linear + time * self.square)

    def slope(self, time: float) -> float:
        """Its slope at a time."""
        return self.linear + 2.0 * time * self.square

    def zeros(self, low: float, high: float) -> list[float]:
        """The times between two, or very near to them, at which it is zero."""
        if abs(self.square) < 1e-12 * abs(self.linear):
            found = [-self.constant / self.linear]
        else:
            inside = self.linear**2 - 4.0 * self.square * self.constant
            if self.square == 0.0 or inside < 0.0:
                return []
            # The sum of two numbers of one sign: nothing is lost where it is all but a line.
            sum_of = -0.5 * (self.linear + copysign(sqrt(inside), self.linear))
            found = [sum_of / self.square] + ([self.constant / sum_of] if sum_of else [])
        return [time for time in found if low - NEARLY <= time <= high + NEARLY]


def parabola(values: Floats, start: int) -> Parabola | None:
    """That which fits values at samples from `start` on, or the line; None of one sample."""
    if len(values) < 2:
        return None
    factors = (_fit(len(values), start) @ values).tolist()
    return Parabola(*factors, *[0.0] * (3 - len(factors)))


@lru_cache(maxsize=64)
def _fit(count: int, start: int) -> Floats:
    """(3,N), of two samples (2,N): what takes so many values to the factors of their parabola."""
    time = np.arange(start, start + count, dtype=np.float64)
    rows = np.asarray(
        np.linalg.pinv(np.vander(time, min(count, 3), increasing=True)), dtype=np.float64
    )
    rows.flags.writeable = False
    return rows
