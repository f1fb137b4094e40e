# SPDX-License-Identifier: GPL-3.0-or-later
"""Flights: the frames on which nothing bears the figure."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..free_fall import GRAVITY, fit_fall
from ..parts import split_part
from .contacts import STILL_SHARE, Soles, runs
from .mass import mass_known
from .touch_points import STILL_S

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Fewer samples in the air than this are no flight.
LEAST = 2
# A body that falls less than this, in g, is held by something that nobody declared.
HELD_G = 0.25
# A whole flight is held only where it lasts longer than this (a jump of .6 m), or a hand or foot
# is still while the body goes on: else it hangs by mistake.
HELD_S = 0.7
# A grown figure's height, metres.
USUAL_M = 1.7
_ENDS = ("hand", "foot")


@dataclass(frozen=True)
class Flight:
    """In the air from sample `first` to `last`, both included.

    whole   both the take-off and the landing are seen: no end of the range, no gap
    held    nothing is seen to bear the figure, and yet it does not fall
    known   the centre of mass is known throughout
    """

    first: int
    last: int
    whole: bool
    held: bool = False
    known: bool = True

    @property
    def judged(self) -> bool:
        """Whether its path can be compared with a free one."""
        return self.known and not self.held

    @property
    def samples(self) -> int:
        """How many samples are in the air."""
        return self.last - self.first + 1


def find_flights(basis: "Basis", soles: Sequence[Soles]) -> tuple[Flight, ...]:
    """All flights, in time's order; none where feet are unknown: then nothing tells them.

    In the air is a figure none of whose points is near (6 cm) to floor or support, none of
    whose soles is still (under .4 m/s for a tenth of a second) below 15 cm, none of whose hands
    and feet rests on a support's side, and that leans on none.
    """
    if len(soles) < 2:
        return ()
    blind = _feet_in_gaps(basis, soles)
    air = ~(basis.touch_points.touches.any(axis=1) | blind)
    known = mass_known(basis)
    return tuple(
        _flight(basis, first, last, blind, known)
        for first, last in runs(air)
        if last - first + 1 >= LEAST
    )


def _flight(basis: "Basis", first: int, last: int, blind: Bools, mass: Bools) -> Flight:
    known = bool(mass[first : last + 1].all())
    inside = first > 0 and last < len(blind) - 1
    whole = bool(inside and not (blind[first - 1] or blind[last + 1]))
    held = known and _hardly_falls(basis, first, last)
    long = (last - first + 1) * basis.dt_s > HELD_S
    held = held and (not whole or long or _holds_on(basis, first, last))
    return Flight(first, last, whole, held, known)


def _feet_in_gaps(basis: "Basis", soles: Sequence[Soles]) -> Bools:
    """(T,) whether a foot or toe is not known: it may stand."""
    return np.asarray(np.any([~each.sole.known.all(axis=1) for each in soles], axis=0))


def _holds_on(basis: "Basis", first: int, last: int) -> bool:
    """Whether a hand or foot is still for a while, and the body is not."""
    pace = np.linalg.norm(basis.velocities[first : last + 1], axis=-1)
    slow = pace < STILL_SHARE * basis.height.scene_m
    least = max(round(STILL_S / basis.dt_s), 2)
    ends = [n for n, b in enumerate(basis.bodies) if split_part(b.part or "")[0] in _ENDS]
    alone = slow[:, ends] & ~slow[:, [basis.lead]]
    return any(b - a + 1 >= least for column in alone.T for a, b in runs(column))


def _hardly_falls(basis: "Basis", first: int, last: int) -> bool:
    """Whether the body falls less than it must; short flights and unknown bodies do fall.

    Of a figure of unknown size it is told as if it were a grown one.
    """
    if basis.com is None:
        return False
    fall = fit_fall(basis.com[first : last + 1], basis.dt_s)
    height = basis.height
    to_story = height.to_story if height.story_m else USUAL_M / height.scene_m
    return fall is not None and fall.down * to_story < HELD_G * GRAVITY
