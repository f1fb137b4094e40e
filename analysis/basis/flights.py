# SPDX-License-Identifier: GPL-3.0-or-later
"""Flights: the frames on which nothing bears the figure."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..free_fall import GRAVITY, UNEVEN, Fall, fit_fall
from ..hang import hang_of
from ..top_hold import find_top_hold
from .contacts import Soles, runs
from .ends_kept import holds_on, passes_an_end, reaches_up
from .height import USUAL_M
from .mass import mass_known

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
# And it is not held, however little it falls, where it is a jump played too slowly: one even arc
# from feet to feet that rises and falls by the first of these, by both together by the second
# (at 1.7 m: 2.5 and 12 cm; jumps 5 and 23, a climb's steps 1 and 6), and in which no hand or foot
# keeps its place while the body goes on.
RISE_SHARE, ARC_SHARE = 0.025 / 1.7, 0.12 / 1.7
# Near its top it spends half of its time (50 to 52 %, rough splines up to 62): what is lifted and
# held up spends more there, what is lifted and let down gently less (41).
NEAR_TOP = (0.45, 0.65)
# Nor is it held where it is a jump that stands at its top for up to the first of these: without
# that it is a free arc from feet to feet, which nothing that bears it gives. Who lands on a crate
# comes down onto it and is thrown up again, by 1 m/s or more at 1.7 m (holds that drift: .15).
STANDS_S, THROWN_M_S = 0.6, 0.35
# Over so long speed is told: one frame at 24 a second, more of them where noise of one tells none.
PACE_S = 0.04


@dataclass(frozen=True)
class Flight:
    """In the air from sample `first` to `last`, both included.

    whole   both the take-off and the landing are seen: no end of the range, no gap
    held    nothing is seen to bear the figure, and yet it hardly falls, as no jump does
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
    held = known and _is_held(basis, first, last, whole)
    return Flight(first, last, whole, held, known)


def _is_held(basis: "Basis", first: int, last: int, whole: bool) -> bool:
    """Whether it hardly falls, and by no mistake that an animator makes."""
    fall = None if basis.com is None else fit_fall(basis.com[first : last + 1], basis.dt_s)
    if fall is None or not hardly_falls(basis, fall):
        return False
    if not whole:
        return True
    long = (last - first + 1) * basis.dt_s > HELD_S
    if not (long or holds_on(basis, first, last)):
        return False
    return not (_is_slow_jump(basis, first, last, fall) or _stands_at_top(basis, first, last))


def _feet_in_gaps(basis: "Basis", soles: Sequence[Soles]) -> Bools:
    """(T,) whether a foot or toe is not known: it may stand."""
    return np.asarray(np.any([~each.sole.known.all(axis=1) for each in soles], axis=0))


def hardly_falls(basis: "Basis", fall: Fall) -> bool:
    """Whether the body falls less than it must; a figure of unknown size is taken as grown."""
    return fall.down * basis.height.to_person < HELD_G * GRAVITY


def _is_slow_jump(basis: "Basis", first: int, last: int, fall: Fall) -> bool:
    """Whether a whole flight is an even arc from feet to feet, and nothing is held on to."""
    if basis.com is None or fall.down <= 0.0 or fall.unevenness > UNEVEN:
        return False
    place = basis.com[first : last + 1]
    if not _jumps(basis, first, last, place[:, 2]):
        return False
    hang = hang_of(place[:, 2])
    is_arc = hang is not None and NEAR_TOP[0] <= hang.share <= NEAR_TOP[1]
    return is_arc and not passes_an_end(basis, first, last)


def _stands_at_top(basis: "Basis", first: int, last: int) -> bool:
    """Whether a whole flight is a free arc that stands still at its top, and nothing bears it."""
    if basis.com is None:
        return False
    size, heights = basis.height, basis.com[first : last + 1, 2]
    hold = find_top_hold(heights * size.to_person, basis.dt_s, size.person_m)
    if hold is None or hold.samples * basis.dt_s > STANDS_S:
        return False
    if not _jumps(basis, first, last, heights) or _is_thrown_up(basis, heights):
        return False
    up = reaches_up(basis, first + hold.first, first + hold.last)
    return not (up or passes_an_end(basis, first, last))


def _jumps(basis: "Basis", first: int, last: int, heights: Floats) -> bool:
    """Whether a flight goes from feet to feet, and up and down by as much as a jump does."""
    points, height = basis.touch_points, basis.height.scene_m
    feet = (points.touches & points.sole)[[first - 1, last + 1]].any(axis=1)
    rises = heights.max() - heights[[0, -1]]
    far = rises.min() >= RISE_SHARE * height and rises.sum() >= ARC_SHARE * height
    return bool(feet.all() and far)


def _is_thrown_up(basis: "Basis", heights: Floats) -> bool:
    """Whether it gains more speed upwards, in the air, than the drift of a hold."""
    step = max(round(PACE_S / basis.dt_s), 1)
    pace = (heights[step:] - heights[:-step]) * basis.height.to_person / (step * basis.dt_s)
    gained = pace - np.minimum.accumulate(pace)
    return bool(gained.max(initial=0.0) > THROWN_M_S * np.sqrt(basis.height.person_m / USUAL_M))
