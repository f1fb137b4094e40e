# SPDX-License-Identifier: GPL-3.0-or-later
"""How each flight falls, and how high it goes in how much time.

Where the path of the centre of mass is an arc, an even acceleration is fitted to it. Where it is
none (poses that are held, or a rough spline through them), the highest pose tells: how long its
height takes against how long the figure is in the air.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .air_time import Arc
from .basis import Basis
from .basis.contacts import runs
from .basis.flights import Flight
from .declared import is_declared
from .free_fall import UNEVEN, Fall, fit_fall
from .memory import recalled

Floats = NDArray[np.float64]

SHORTEST_S = 0.25
# Feet leave so long before a flight begins, and land so long after it, at most: flights are
# told from 6 cm up. There the path still is the arc, this near (5 mm at 1.7 m).
AROUND_S, ON_ARC_SHARE = 0.15, 0.005 / 1.7


@dataclass(frozen=True)
class Open:
    """What a pose that is still bent leaves open: when it leaves, or lands.

    least, most   how strongly it may fall at the character's size, m/s2: from its least height in
                  the time from key to key, up to the same in the shortest time that it may have
    keyed         that of the poses as they stand, from the key that leaves to the one that lands
    leaves_by     the sample by which it has left; where that is sure, the one where it leaves
    lands_from    the sample from which on it may land; where that is sure, the one where it lands
    """

    least: float
    most: float
    keyed: float
    leaves_by: int
    lands_from: int


@dataclass(frozen=True, eq=False)
class Flown:
    """A flight and its fall.

    leaves, lands   samples: the last one on the ground before, and the first one after
    fall            how strongly it falls at the character's size, m/s2; of what is open that
                    which is nearest to gravity
    error           its standard error; 0 where poses tell it
    even            whether one strength fits it; else it is not judged, but breaks the habit
    posed           whether its highest pose tells the fall, and no fitted arc
    open            what poses that are still bent leave open of it; None where that is nothing
    """

    flight: Flight
    leaves: int
    lands: int
    fall: float
    error: float
    even: bool
    arc: Arc
    posed: bool = False
    open: Open | None = None

    @property
    def told(self) -> float:
        """How strongly it falls as its frames are counted: from key to key, where poses tell it."""
        return self.fall if self.open is None else self.arc.fall

    def nearest(self, fall: float) -> float:
        """What it may be, m/s2, that is nearest to a fall."""
        if self.open is None:
            return self.fall
        return min(max(fall, self.open.least), self.open.most)


def find_flown(basis: Basis, flights: Sequence[Flight], *, rough: bool) -> list[Flown]:
    """All flights of .25 s or more that can be compared with a free one.

    rough   whether a whole flight that is no arc is told by its highest pose: in blocking
    """
    free = [part for flight in flights if (part := _undeclared(basis, flight)) is not None]
    found = [_flown(basis, flight, rough) for flight in free if flight.judged]
    return [each for each in found if each is not None]


def _undeclared(basis: Basis, flight: Flight) -> Flight | None:
    """The longest part of a flight outside declared events: in these something else moves it."""
    if not basis.clip.meta.events:
        return flight
    samples = range(flight.first, flight.last + 1)
    free = np.array([not is_declared(basis, basis.lead, at, at) for at in samples])
    if free.all():
        return flight
    parts = runs(free)
    if not parts:
        return None
    first, last = max(parts, key=lambda part: part[1] - part[0])
    return replace(flight, first=flight.first + first, last=flight.first + last, whole=False)


def _flown(basis: Basis, flight: Flight, rough: bool) -> Flown | None:
    com = basis.com
    if com is None or flight.samples * basis.dt_s < SHORTEST_S:
        return None
    fall = recalled(basis.memory, fit_fall, com[flight.first : flight.last + 1], basis.dt_s)
    if fall is None:
        return None
    even = fall.unevenness <= UNEVEN and fall.down > 0.0
    if not even and rough and flight.whole:
        return of_poses(basis, flight, flight.first - 1, flight.last + 1)
    # What gains speed upwards does not fall at all; and where the landing is not seen, an uneven
    # path may have one that was not declared.
    if fall.down <= 0.0 or not (even or flight.whole):
        return None
    return _of_fit(basis, com, flight, fall, even)


def _of_fit(basis: Basis, com: Floats, flight: Flight, fall: Fall, even: bool) -> Flown:
    leaves, lands = _bounds(basis, com, flight, fall)
    middle = 0.5 * (flight.first + flight.last)
    ends = (np.array([leaves, lands]) - middle) * basis.dt_s
    top_s = float(np.clip(fall.velocity[2] / fall.down, *ends))
    low, high, other = fall.at(np.array([ends[0], top_s, ends[1]]))[:, 2] * basis.height.to_story
    story = fall.down * basis.height.to_story
    arc = Arc(float(high - low), float(high - other), (lands - leaves) * basis.dt_s)
    return Flown(flight, leaves, lands, story, fall.error * basis.height.to_story, even, arc)


def of_poses(basis: Basis, flight: Flight, leaves: int, lands: int) -> Flown | None:
    """A flight that its highest pose tells; None where that is no higher than the ends."""
    if basis.com is None:
        return None
    heights = basis.com[leaves : lands + 1, 2] * basis.height.to_story
    top = float(heights[1:-1].max()) if len(heights) > 2 else 0.0
    up, down = top - float(heights[0]), top - float(heights[-1])
    if min(up, down) <= 0.0:
        return None
    arc = Arc(up, down, (lands - leaves) * basis.dt_s)
    return Flown(flight, leaves, lands, arc.fall, 0.0, True, arc, posed=True)


def _bounds(basis: Basis, com: Floats, flight: Flight, fall: Fall) -> tuple[int, int]:
    """The last sample on the ground before a flight, and the first one after.

    There the path comes to the fitted arc, or leaves it; but no foot's plant lies in the air.
    """
    near = round(AROUND_S / basis.dt_s)
    before = [p.last for p in basis.plants if 0 < flight.first - p.last <= near]
    after = [p.first for p in basis.plants if 0 < p.first - flight.last <= near]
    middle = 0.5 * (flight.first + flight.last)
    leaves = _leaves_arc(basis, com, fall, middle, flight.first - 1, -1, near)
    lands = _leaves_arc(basis, com, fall, middle, flight.last + 1, 1, near)
    return max([leaves, *before]), min([lands, *after])


def _leaves_arc(
    basis: Basis, com: Floats, fall: Fall, middle: float, start: int, step: int, near: int
) -> int:
    """The last sample from `start` on, stepwise, on which the path still is on the arc."""
    at = start + step * np.arange(near)
    at = at[(at >= 0) & (at < len(com))]
    if len(at) == 0:
        return min(max(start, 0), len(com) - 1)
    since = np.asarray((at - middle) * basis.dt_s, dtype=np.float64)
    off = np.abs(com[at, 2] - fall.at(since)[:, 2])
    on = off <= ON_ARC_SHARE * basis.height.scene_m
    count = len(on) if on.all() else int(np.argmin(on))
    return int(at[max(count - 1, 0)])
