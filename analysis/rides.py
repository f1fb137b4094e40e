# SPDX-License-Identifier: GPL-3.0-or-later
"""Glides that have one cause: what carries the body over its feet, or a support that moves under
them while the figure does not go along.

A figure that rides on what was not declared glides whenever that moves: it is one thing to mend.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.ground import FLOOR
from .glides import Glide, carrier, over_box
from .looped import Places

Floats = NDArray[np.float64]

# Feet that go further than this share of the height (17 cm at 1.7 m) ought to step.
STEP_SHARE = 0.1
# A figure goes along with what bears it so much later, or earlier, at the most; it does where it
# keeps to that path, but for this share of its slip.
BEHIND_S, LAG_S, BEHIND_SHARE = 0.3, 0.0025, 0.1


@dataclass(frozen=True, eq=False)
class Ride:
    """Glides of one cause, in time's order.

    by      what carries the feet, a body of the basis, or None
    behind  whether what they stand on moves, and the figure does not go along with it
    """

    glides: tuple[Glide, ...]
    by: int | None
    behind: bool

    @property
    def largest(self) -> Glide:
        """The one that goes furthest."""
        return max(self.glides, key=lambda each: float(np.linalg.norm(each.way)))


def find_rides(places: Places, glides: tuple[Glide, ...]) -> list[Ride]:
    """All glides: together where they have one cause, and one of them is too far for feet that
    could step, or what they stand on moves; else each by itself."""
    basis, found = places.rounds_basis, []
    far = STEP_SHARE * basis.height.scene_m
    groups: dict[tuple[bool, int], list[Glide]] = {}
    for glide in glides:
        feet = [each.sole.body for each in basis.soles]
        at = (basis, feet, glide.first, glide.last, glide.way, glide.box)
        by = carrier(*at)
        if is_behind(*at):
            groups.setdefault((True, glide.box), []).append(glide)
        elif by is not None:
            groups.setdefault((False, by), []).append(glide)
        else:
            found.append(Ride((glide,), None, behind=False))
    for (behind, number), group in groups.items():
        by = basis.lead if behind else number
        whole = Ride(tuple(group), by, behind)
        if behind or float(np.linalg.norm(whole.largest.way)) > far:
            found.append(whole)
        else:
            found += [Ride((each,), by, behind) for each in group]
    return sorted(found, key=lambda ride: ride.glides[0].first)


def is_behind(
    basis: Basis, bodies: list[int], first: int, last: int, way: Floats, box: int
) -> bool:
    """Whether the support that bears feet moves, and these stay where they are in the world, or
    go where it went a moment before or after: they were not moved by themselves.

    bodies   of the feet; way (3,): how they slip between two samples, metres
    """
    if box == FLOOR:
        return False
    feet, size = basis.positions[:, bodies].mean(axis=1), float(np.linalg.norm(way))
    goes, seen = (path @ way / max(size, 1e-12) for path in (feet, over_box(basis, box, feet)))
    carries, rows = goes - seen, np.arange(first, last + 1)
    lags = np.arange(-BEHIND_S, BEHIND_S, LAG_S) / basis.dt_s
    paths = [np.zeros(len(rows))]
    paths += [np.interp(rows + lag, np.arange(len(goes)), carries) for lag in lags]
    offs = [goes[rows] - path for path in paths]
    return any(float(np.abs(off - off[0]).max()) < BEHIND_SHARE * size for off in offs)
