# SPDX-License-Identifier: GPL-3.0-or-later
"""Which foot bears the body, and how far a planted foot slips while it does."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .contacts import Plant, Soles
from .ground import LOW_SHARE

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]

# The middle of a plant that is judged: landing and push-off roll and settle by right.
MIDDLE_SHARE = 0.7
# A foot bears the body from this share of it on; with less it may be dragged by right. Where a
# shot's feet are held (by an IK target: they stand still to less than 1 cm/s at 1.7 m most of the
# time), one that moves while it stands is not dragged but forgotten, unless it bears nothing.
BEARS_SHARE, HELD_BEARS_SHARE, HELD_SHARE = 0.4, 0.15, 0.01 / 1.7


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
    of = {each.sole.side: each for each in soles}
    every = [slip_of(basis, of[p.side], p, borne[p.side], bears=-np.inf) for p in plants]
    bears = HELD_BEARS_SHARE if are_held(basis, every) else BEARS_SHARE
    return tuple(slip_of(basis, of[p.side], p, borne[p.side], bears=bears) for p in plants)


def are_held(basis: "Basis", slips: Sequence[Slip]) -> bool:
    """Whether feet stand still in most of the judged steps of these plants."""
    paces = np.concatenate([slip.paces for slip in slips]) if slips else np.zeros(0)
    return len(paces) > 0 and float(np.median(paces)) < HELD_SHARE * basis.height.scene_m


def slip_of(
    basis: "Basis", soles: Soles, plant: Plant, load: Floats, *, bears: float = BEARS_SHARE
) -> Slip:
    """The net motion of whichever low sole point is stillest from one sample to the next.

    A foot that rolls from heel to toe has a still point all the time, so rolling is no slip.
    load (T,) is the share of the body that the foot bears; steps count from `bears` on.
    """
    cut = round(0.5 * (1.0 - MIDDLE_SHARE) * (plant.last - plant.first))
    middle = slice(plant.first + cut, plant.last - cut)
    after = slice(middle.start + 1, middle.stop + 1)
    low = soles.clearance < LOW_SHARE * basis.height.scene_m
    loaded = (load[middle] >= bears) & (load[after] >= bears)
    usable = low[middle] & low[after] & loaded[:, None]
    steps = soles.steps[middle] * [1.0, 1.0, 0.0]
    size = np.where(usable, np.linalg.norm(steps, axis=-1), np.inf)
    stillest = np.argmin(size, axis=1)
    rows = np.flatnonzero(np.isfinite(size.min(axis=1)))
    if len(rows) == 0:
        return Slip(plant, np.zeros(3), plant.first, np.zeros(0))
    chosen = steps[rows, stillest[rows]]
    paces = np.linalg.norm(chosen, axis=-1) / basis.dt_s
    peak = int(middle.start + rows[np.argmax(paces)] + 1)
    return Slip(plant, chosen.sum(axis=0), peak, paces)


def loads(basis: "Basis", soles: Sequence[Soles], plants: Sequence[Plant]) -> dict[str, Floats]:
    """Side -> (T,) share of the body that the foot bears: 1 where it stands alone.

    Where both stand it is told by where the centre of mass (else the body that leads) lies on
    the way from the other foot to this one, seen from above.
    """
    stands = {each.sole.side: np.zeros(len(basis.frames), dtype=bool) for each in soles}
    for plant in plants:
        stands[plant.side][plant.first : plant.last + 1] = True
    body = basis.positions[:, basis.lead] if basis.com is None else basis.com
    places = {each.sole.side: each.sole.points.mean(axis=1) for each in soles}
    found = {}
    for side, place in places.items():
        share = np.ones(len(basis.frames))
        for other, other_place in places.items():
            if other != side:
                gap = (place - other_place)[:, :2]
                along = np.sum((body - other_place)[:, :2] * gap, axis=1)
                length = np.maximum(np.sum(gap * gap, axis=1), 1e-12)
                share = np.where(stands[other], along / length, share)
        found[side] = share
    return found
