# SPDX-License-Identifier: GPL-3.0-or-later
"""Where feet push a body off into the air, and where it lands on them: what is left of the force
there is larger than elsewhere, since feet press by several weights and masses are known by a table.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.flights import Flight

Bools = NDArray[np.bool_]

# So long before a flight, and after it, feet push off and brake.
BESIDE_S = 0.35
# Feet touch within so long before and after a flight: else it is thrown, or lands otherwise.
FEET_S = 0.1
# What is left, in body weights, of clean push-offs and landings (half A of the quality corpus, 395
# flights of hops: of 95 in 100 up to .45 and .3, of all up to .73 and .67), and a little more.
USUAL = 0.75


@dataclass(frozen=True, eq=False)
class FlightEnds:
    """(T,) where feet push off, where they brake, and which flight (index) that is about."""

    leaves: Bools
    lands: Bools
    flight: NDArray[np.intp]

    @property
    def near(self) -> Bools:
        """(T,) either."""
        return np.asarray(self.leaves | self.lands)


def flight_ends(basis: Basis) -> FlightEnds:
    """The push-offs and landings of a figure on its feet."""
    count = len(basis.frames)
    leaves, lands = np.zeros(count, dtype=bool), np.zeros(count, dtype=bool)
    which = np.full(count, -1, dtype=np.intp)
    touch = basis.touch_points
    feet = np.asarray((touch.touches & touch.sole).any(axis=1))
    reach, near = round(BESIDE_S / basis.dt_s), max(round(FEET_S / basis.dt_s), 1)
    for at, flight in enumerate(basis.flights):
        if not _jumps(basis, flight):
            continue
        before, after = _beside(flight, reach, count)
        if feet[max(flight.first - near, 0) : flight.first].any():
            leaves[before], which[before] = True, at
        if feet[flight.last + 1 : flight.last + 1 + near].any():
            lands[after], which[after] = True, at
    return FlightEnds(leaves, lands, which)


def _jumps(basis: Basis, flight: Flight) -> bool:
    """Whether a body rises into a flight: who falls off something brakes otherwise."""
    velocity = basis.com_velocity
    return not flight.held and velocity is not None and bool(velocity[flight.first, 2] > 0.0)


def _beside(flight: Flight, reach: int, count: int) -> tuple[slice, slice]:
    before = slice(max(flight.first - reach, 0), flight.first)
    return before, slice(flight.last + 1, min(flight.last + 1 + reach, count))
