# SPDX-License-Identifier: GPL-3.0-or-later
"""Frames at the top of a flight without which it would be one free arc."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .free_fall import GRAVITY, RIGHT_FACTOR, fit_fall

Floats = NDArray[np.float64]

# What is left is off its arc by this share of its height at most: jumps that are held .25 or .5 s
# there are off by .04 or less without it, an arc that is played twice as slowly, and what is lifted
# evenly and let down again, by .04 to .09 whatever is taken out of them.
UNEVEN = 0.04
# A hold has so many samples or more, and leaves so many or more of the flight.
LEAST, LEAST_LEFT = 2, 5
# On them the body goes up and down by no more than this, of the height (5 cm at 1.7 m): holds that
# drift go 3 cm, who lands on a crate that nobody declared and jumps off again 9 cm or more.
STRAYS_SHARE = 0.05 / 1.7
# The best one lies so near to the highest one, in samples.
AROUND = 2


@dataclass(frozen=True)
class TopHold:
    """first, last   the samples that are too many, both included, counted from the path's first"""

    first: int
    last: int

    @property
    def samples(self) -> int:
        """How many samples are too many."""
        return self.last - self.first + 1


def find_top_hold(
    heights: Floats, dt_s: float, size_m: float, fall: float = GRAVITY
) -> TopHold | None:
    """Which samples of a flight's heights (N,) have to go so that the rest is one arc of this
    fall, m/s2; None where there are no such ones.

    heights   metres at the character's size, evenly spaced in time
    size_m    how tall the character is, metres
    """
    best, least = None, float(np.log(RIGHT_FACTOR))
    for count in range(LEAST, len(heights) - LEAST_LEFT + 1):
        tried = [each for each in _highest(heights, count) if _stays(heights, each, size_m)]
        fits = [(fit_fall(_without(heights, each), dt_s), each) for each in tried]
        arcs = [(fit, each) for fit, each in fits if fit is not None and fit.down > 0.0]
        if not arcs:
            continue
        fit, hold = min(arcs, key=lambda arc: arc[0].unevenness)
        off = abs(float(np.log(fit.down / fall)))
        if fit.unevenness <= UNEVEN and off <= least:
            best, least = hold, off
    return best


def _highest(heights: Floats, count: int) -> list[TopHold]:
    """The so many neighbouring samples whose lowest is the highest, and those around them."""
    lowest = np.lib.stride_tricks.sliding_window_view(heights, count).min(axis=1)
    top = int(np.argmax(lowest))
    starts = range(max(top - AROUND, 0), min(top + AROUND, len(lowest) - 1) + 1)
    return [TopHold(first, first + count - 1) for first in starts]


def _stays(heights: Floats, hold: TopHold, size_m: float) -> bool:
    """Whether the body stays at one height on those samples."""
    return bool(np.ptp(heights[hold.first : hold.last + 1]) <= STRAYS_SHARE * size_m)


def _without(heights: Floats, hold: TopHold) -> Floats:
    """(M,3) the path that is left; what a hold drifts is lost evenly from there to its end."""
    after = heights[hold.last + 1 :]
    drift = heights[hold.last] - heights[hold.first]
    left = np.concatenate(
        (heights[: hold.first], after - drift * np.linspace(1.0, 0.0, len(after)))
    )
    return np.stack((np.zeros(len(left)), np.zeros(len(left)), left), axis=1)
