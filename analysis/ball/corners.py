# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a value turns at once: two ways that meet in a corner between two samples."""

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import Polynomial
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
    if before - first < 1 or last - before < 2:
        return None
    left = fitted(values[first : before + 1], first - before)
    right = fitted(values[before + 1 : last + 1], 1)
    if left is None or right is None:
        return None
    roots = real_roots(left - right)
    roots = roots[(roots >= -NEARLY) & (roots <= 1.0 + NEARLY)]
    rise, fall = left.deriv(), -right.deriv()
    for at in sorted(roots, key=lambda root: -float(rise(root) + fall(root)))[:1]:
        paces = (
            float(values[before] - values[first]) / (before - first),
            float(values[before + 1] - values[last]) / (last - before - 1),
        )
        comes, goes = (
            bool(speed(at) >= AT_ONCE * pace)
            for speed, pace in zip((rise, fall), paces, strict=True)
        )
        change = float(rise(at) + fall(at))
        if (comes or goes) and change >= AT_ONCE * sum(paces):
            return Corner(before + float(at), float(left(at)), change, comes, goes)
    return None


def fitted(values: Floats, start: int) -> Polynomial | None:
    """The parabola, or line, that fits values at samples from `start` on; None of one sample."""
    if len(values) < 2:
        return None
    time = np.arange(start, start + len(values), dtype=np.float64)
    powers = np.vander(time, min(len(values), 3), increasing=True)
    return Polynomial(np.linalg.lstsq(powers, values, rcond=None)[0])


def real_roots(polynomial: Polynomial) -> Floats:
    """Its real roots, rising."""
    roots = polynomial.trim(1e-15).roots()
    return np.sort(np.real(roots[np.abs(np.imag(roots)) < 1e-6]))
