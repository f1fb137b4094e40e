# SPDX-License-Identifier: GPL-3.0-or-later
"""The shape of each flight: how much of its time is near its top, and which shots do so alike."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.flights import Flight
from .hang import FREE_SHARE, Hang, hang_of, hang_of_a_side
from .memory import recalled

Floats = NDArray[np.float64]

# The share may be off by so much.
LIMIT = 0.10
# Shorter flights have too few frames for a shape.
SHORTEST_S, LEAST_SAMPLES = 0.2, 6
# So many flights or more, two in three of all, whose shares lie within `LIMIT` of each other: what
# they do is the shot's style.
LEAST_ALIKE, MOST_SHARE = 3, 0.65


@dataclass(frozen=True, eq=False)
class Shape:
    """A flight and its hang; off_m: how far, in scene metres, it is off its best parabola."""

    flight: Flight
    hang: Hang
    off_m: float

    @property
    def share(self) -> float:
        """The share of its time that it is near its top."""
        return self.hang.share

    @property
    def off(self) -> float:
        """By how much that is more than gravity gives it."""
        return self.hang.share - FREE_SHARE


def find_shapes(basis: Basis, flights: Sequence[Flight]) -> list[Shape]:
    """Of the flights that are long enough for a shape and rise and fall, samples of the basis."""
    if basis.com is None:
        return []
    found = []
    for flight in flights:
        heights = basis.com[flight.first : flight.last + 1, 2]
        told = recalled(basis.memory, _hang, heights) if long_enough(basis, flight) else None
        if told is not None:
            found.append(Shape(flight, *told))
    return found


def _hang(heights: Floats) -> tuple[Hang, float] | None:
    """How a flight of these heights (N,) hangs, and how far it is off an arc; None where it does
    not rise and fall."""
    hang = hang_of(heights) or hang_of_a_side(heights)
    if hang is None:
        return None
    time = np.linspace(-1.0, 1.0, len(heights))
    fitted = np.polynomial.Polynomial.fit(time, heights, 2)
    return hang, float(np.abs(heights - fitted(time)).max())


def long_enough(basis: Basis, flight: Flight) -> bool:
    """Whether a flight has frames enough for a shape."""
    return flight.samples >= LEAST_SAMPLES and flight.samples * basis.dt_s >= SHORTEST_S


def habit_of(shapes: Sequence[Shape], limit: float) -> list[Shape]:
    """The flights that hang, or turn sharply, alike, where that is the shot's style; else none."""
    best: list[Shape] = []
    for sign in (1.0, -1.0):
        off = [each for each in shapes if sign * (each.share - FREE_SHARE) > limit]
        shares = [each.share for each in off]
        alike = bool(shares) and max(shares) - min(shares) <= LIMIT
        if alike and len(off) >= max(LEAST_ALIKE, MOST_SHARE * len(shapes)):
            best = off
    return best
