# SPDX-License-Identifier: GPL-3.0-or-later
"""Flights: the frames on which nothing bears the figure."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..free_fall import GRAVITY, UNEVEN, Fall, fit_fall
from ..hang import hang_of
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
# And it is not held, however little it falls, where it is a jump played too slowly: one even arc
# from feet to feet that rises and falls by the first of these, by both together by the second
# (at 1.7 m: 2.5 and 12 cm; jumps 5 and 23, a climb's steps 1 and 6), and in which no hand or foot
# keeps its place (within 3 cm) while the body goes by 18 cm (jumps 13, a climber 25).
RISE_SHARE, ARC_SHARE = 0.025 / 1.7, 0.12 / 1.7
STAYS_SHARE, PASSES_SHARE = 0.03 / 1.7, 0.18 / 1.7
# Near its top it spends half of its time (50 to 52 %, rough splines up to 62): what is lifted and
# held up spends more there, what is lifted and let down gently less (41).
NEAR_TOP = (0.45, 0.65)
# A grown figure's height, metres.
USUAL_M = 1.7
_ENDS = ("hand", "foot")


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
    if fall is None or not _hardly_falls(basis, fall):
        return False
    if not whole:
        return True
    long = (last - first + 1) * basis.dt_s > HELD_S
    return (long or _holds_on(basis, first, last)) and not _is_slow_jump(basis, first, last, fall)


def _feet_in_gaps(basis: "Basis", soles: Sequence[Soles]) -> Bools:
    """(T,) whether a foot or toe is not known: it may stand."""
    return np.asarray(np.any([~each.sole.known.all(axis=1) for each in soles], axis=0))


def _holds_on(basis: "Basis", first: int, last: int) -> bool:
    """Whether a hand or foot is still for a while, and the body is not."""
    pace = np.linalg.norm(basis.velocities[first : last + 1], axis=-1)
    slow = pace < STILL_SHARE * basis.height.scene_m
    least = max(round(STILL_S / basis.dt_s), 2)
    alone = slow[:, _ends_of(basis)] & ~slow[:, [basis.lead]]
    return any(b - a + 1 >= least for column in alone.T for a, b in runs(column))


def _hardly_falls(basis: "Basis", fall: Fall) -> bool:
    """Whether the body falls less than it must; a figure of unknown size is taken as grown."""
    height = basis.height
    to_story = height.to_story if height.story_m else USUAL_M / height.scene_m
    return fall.down * to_story < HELD_G * GRAVITY


def _is_slow_jump(basis: "Basis", first: int, last: int, fall: Fall) -> bool:
    """Whether a whole flight is an even arc from feet to feet, and nothing is held on to."""
    points, height = basis.touch_points, basis.height.scene_m
    feet = (points.touches & points.sole)[[first - 1, last + 1]].any(axis=1)
    if basis.com is None or not feet.all() or fall.down <= 0.0 or fall.unevenness > UNEVEN:
        return False
    place = basis.com[first : last + 1]
    rises = place[:, 2].max() - place[[0, -1], 2]
    if rises.min() < RISE_SHARE * height or rises.sum() < ARC_SHARE * height:
        return False
    hang = hang_of(place[:, 2])
    is_arc = hang is not None and NEAR_TOP[0] <= hang.share <= NEAR_TOP[1]
    return is_arc and not _passes_an_end(basis, first, last)


def _passes_an_end(basis: "Basis", first: int, last: int) -> bool:
    """Whether a hand or foot keeps its place while the body goes on: it holds on, or stands."""
    if basis.com is None:
        return False
    body, height = basis.com[first : last + 1], basis.height.scene_m
    for end in _ends_of(basis):
        place = basis.positions[first : last + 1, end]
        for at in range(len(place)):
            gone = np.linalg.norm(place[at:] - place[at], axis=1) > STAYS_SHARE * height
            stays = int(np.argmax(gone)) if gone.any() else len(gone)
            way = np.linalg.norm(body[at : at + stays] - body[at], axis=1)
            if way.max() > PASSES_SHARE * height:
                return True
    return False


def _ends_of(basis: "Basis") -> list[int]:
    """The bodies that are hands and feet."""
    return [n for n, b in enumerate(basis.bodies) if split_part(b.part or "")[0] in _ENDS]
