# SPDX-License-Identifier: GPL-3.0-or-later
"""Which foot bears the body, and how far a planted foot slips while it does."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .contacts import Plant, Soles
from .other_bearers import other_bearers, sits
from .stillest import stillest_steps

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]

# The middle of a plant that is judged: landing and push-off roll and settle by right. A foot that
# still slows down after landing, or already gathers speed to leave, is not judged there: for so
# long at most.
# It slows down where it would lose two thirds of its speed, or more, within so many seconds, and
# is faster than this share of the height a second (.1 m/s).
MIDDLE_SHARE, EASE_S, SLOWS_S, FAST_SHARE = 0.7, 0.125, 0.5, 0.1 / 1.7
# A foot bears the body from this share of it on; with less it may be dragged by right. Where a
# shot's feet are held (by an IK target: they stand still to less than .15 cm/s at 1.7 m most of the
# time), one that moves while it stands is not dragged but forgotten, unless it bears nothing.
BEARS_SHARE, HELD_BEARS_SHARE, HELD_SHARE = 0.4, 0.15, 0.0015 / 1.7


@dataclass(frozen=True, eq=False)
class Slip:
    """How far a foot slips in the middle of one plant, while it bears the body.

    way (3,)   the net way over what bears it, metres, level
    peak       the sample that the fastest step leads to
    paces (S,) m/s of each step that was judged
    """

    plant: Plant
    way: Floats
    peak: int
    paces: Floats

    @property
    def metres(self) -> float:
        """Length of the way."""
        return float(np.linalg.norm(self.way))


def find_slips(basis: "Basis", soles: Sequence[Soles], plants: Sequence[Plant]) -> tuple[Slip, ...]:
    """How far the foot of each plant slips while it bears the body, in the order of `plants`."""
    borne = loads(basis, soles, plants)
    steps = {each.sole.side: stillest_steps(each, basis.height.scene_m) for each in soles}
    every = [slip_of(basis, steps[p.side], p, borne[p.side], bears=-np.inf) for p in plants]
    bears = HELD_BEARS_SHARE if are_held(basis, every) else BEARS_SHARE
    return tuple(slip_of(basis, steps[p.side], p, borne[p.side], bears=bears) for p in plants)


def are_held(basis: "Basis", slips: Sequence[Slip]) -> bool:
    """Whether feet stand still in most of the judged steps of these plants."""
    paces = np.concatenate([slip.paces for slip in slips]) if slips else np.zeros(0)
    return len(paces) > 0 and float(np.median(paces)) < HELD_SHARE * basis.height.scene_m


def slip_of(basis: "Basis", stillest: Floats, plant: Plant, load: Floats, *, bears: float) -> Slip:
    """The net motion of whichever low spot of the sole is stillest from one sample to the next.

    A foot that rolls from heel to toe, or turns on its ball, has a still spot all the time, so
    neither is a slip.
    stillest (T-1,3) is how that spot moves; load (T,) is the share of the body that the foot
    bears, and steps count from `bears` on.
    """
    steps = stillest[plant.first : plant.last]
    size = np.linalg.norm(steps, axis=-1)
    borne = load[plant.first : plant.last + 1] >= bears
    judged = np.isfinite(size) & borne[1:] & borne[:-1]
    first, last = _middle(basis, plant, size)
    rows = np.flatnonzero(judged[first:last]) + first
    if len(rows) == 0:
        return Slip(plant, np.zeros(3), plant.first, np.zeros(0))
    paces = size[rows] / basis.dt_s
    peak = int(plant.first + rows[np.argmax(paces)] + 1)
    return Slip(plant, steps[rows].sum(axis=0), peak, paces)


def _middle(basis: "Basis", plant: Plant, size: Floats) -> tuple[int, int]:
    """The first step (S,) of a plant that is judged, and the one after the last."""
    cut = round(0.5 * (1.0 - MIDDLE_SHARE) * len(size))
    first = max(cut, _easing(basis, size)) if plant.lands else cut
    leaves = max(cut, _easing(basis, size[::-1])) if plant.leaves else cut
    return first, max(len(size) - leaves, first)


def _easing(basis: "Basis", size: Floats) -> int:
    """Steps at the beginning throughout which a foot slows down: the rest of its way down."""
    slower = size[1:] < size[:-1] * np.exp(-basis.dt_s / SLOWS_S)
    fast = size[:-1] > FAST_SHARE * basis.height.scene_m * basis.dt_s
    ends = np.flatnonzero(~(slower & fast))
    steps = int(ends[0]) if len(ends) else len(slower)
    return min(steps, round(EASE_S / basis.dt_s))


def loads(basis: "Basis", soles: Sequence[Soles], plants: Sequence[Plant]) -> dict[str, Floats]:
    """Side -> (T,) share of the body that the foot bears: 1 where it stands alone.

    0 where the figure sits or lies. Where something else stands as well (the other foot, a hand,
    a knee), it is told by where the centre of mass (else the body that leads) lies on the way from
    there to the foot, seen from above; of several such, the one that leaves the foot least counts.
    """
    stands = {each.sole.side: np.zeros(len(basis.frames), dtype=bool) for each in soles}
    for plant in plants:
        stands[plant.side][plant.first : plant.last + 1] = True
    body = basis.positions[:, basis.lead] if basis.com is None else basis.com
    places = {each.sole.side: each.sole.points.mean(axis=1) for each in soles}
    others, seated = other_bearers(basis), sits(basis)
    found = {}
    for side, place in places.items():
        share = np.full(len(basis.frames), np.inf)
        feet = [(places[other], stands[other]) for other in places if other != side]
        for there, bears in [*feet, *others]:
            gap = (place - there)[:, :2]
            along = np.sum((body - there)[:, :2] * gap, axis=1)
            length = np.maximum(np.sum(gap * gap, axis=1), 1e-12)
            share = np.where(bears, np.minimum(along / length, share), share)
        share = np.where(np.isfinite(share), share, 1.0)
        found[side] = np.where(seated, np.minimum(share, 0.0), share)
    return found
