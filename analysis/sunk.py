# SPDX-License-Identifier: GPL-3.0-or-later
"""Feet that are under what bears them: how deep, both at once, and what may bear them there."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.boxes import over_top
from .basis.contacts import Soles
from .basis.ground import FLOOR, LOW_SHARE
from .basis.slips import RISE, are_held

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A support reaches so far in from its edge (2 cm at 1.7 m): a foot that is on the edge is not in.
INSIDE_SHARE = 0.02 / 1.7
# Two feet sink together where one does before the other is up again, and they differ by this
# share of the deeper one at most.
ALIKE_SHARE = 0.3
# A foot that stands so far under a floor that nobody stated is on something (12 cm at 1.7 m, less
# than a step of stairs): it is slower than this share of the height a second (10 cm/s).
DEEP_SHARE, SLOW_SHARE = 0.12 / 1.7, 0.1 / 1.7
# A foot goes down from a tenth of its depth to nine, within .3 s; before that it stood for a tenth
# of a second. It goes aside on that way by 2 cm at 1.7 m where feet are held, else by 3.
DOWN, DOWN_S, STOOD_S = (0.1, 0.9), 0.3, 0.1
HELD_ASIDE_SHARE, FREE_ASIDE_SHARE = 0.02 / 1.7, 0.03 / 1.7


@dataclass(frozen=True, eq=False)
class Depths:
    """A foot, how far each point of its sole is over what bears it, and how deep the deepest is.

    clearance (T,N)  metres; infinite for a point on a support's edge
    deepest (T,)     metres; minus infinite where no point is known to be over anything
    stands (T,)      whether the foot is planted
    """

    soles: Soles
    clearance: Floats
    deepest: Floats
    stands: Bools


@dataclass(frozen=True, eq=False)
class Sunk:
    """A foot that is under what bears it from sample first to last; depths in metres."""

    foot: Depths
    first: int
    last: int
    depth: float
    limit: float
    usual: float


def depths_of(basis: Basis, soles: Soles) -> Depths:
    """How deep a foot is; what is on a support's edge, or beside it, is not in it.

    Of a foot that stands on a rung, the heel is over what lies far below: that tells nothing.
    """
    clearance = np.array(soles.clearance)
    inside = INSIDE_SHARE * basis.height.scene_m
    for n, box in enumerate(basis.ground.boxes):
        on_it = soles.which == n
        if on_it.any():
            beyond, _ = over_top(box, soles.sole.points)
            clearance[on_it & (beyond.max(axis=-1) > -inside)] = np.inf
    stands = np.zeros(len(clearance), dtype=np.bool_)
    for plant in basis.plants:
        if plant.side == soles.sole.side:
            rows = slice(plant.first, plant.last + 1)
            stands[rows] = True
            beside = (soles.which[rows] != plant.box) & (plant.box != FLOOR)
            far = soles.clearance[rows] > LOW_SHARE * basis.height.scene_m
            clearance[rows][beside & far] = np.inf
    return Depths(soles, clearance, -clearance.min(axis=1), stands)


def is_on_something(basis: Basis, sunk: Sunk) -> bool:
    """Whether a foot stands far under a floor that was only guessed: something bears it there."""
    height, rows = basis.height.scene_m, slice(sunk.first, sunk.last + 1)
    if basis.clip.meta.floor_z is not None or sunk.depth < DEEP_SHARE * height:
        return False
    slow = np.median(sunk.foot.soles.speed[rows].min(axis=1)) < SLOW_SHARE * height
    return bool(slow and (sunk.foot.soles.which[rows] == FLOOR).all())


def way_aside(basis: Basis, sunk: Sunk) -> Floats:
    """(3,) metres, level, that a foot which stood goes over what bears it on its way down.

    It is slow before and after, as what stands, and does not come up in between; of its points the
    one that goes least tells it, so that a foot which rolls goes nowhere. 0 where it lands too
    deep, goes straight down, or so far that it is a slip along the floor: a slide.
    """
    foot, height, none = sunk.foot, basis.height.scene_m, np.zeros(3)
    far = sunk.depth - sunk.usual
    slow = foot.soles.speed.min(axis=1) < SLOW_SHARE * height
    before = np.flatnonzero(slow & (foot.deepest < sunk.usual + DOWN[0] * far))
    after = np.flatnonzero(slow & (foot.deepest >= sunk.usual + DOWN[1] * far))
    before, after = before[before < sunk.first], after[after >= sunk.first]
    if not len(before) or not len(after):
        return none
    first, last = int(before[-1]), int(after[0])
    stood = first - max(round(STOOD_S / basis.dt_s), 2)
    stays = foot.deepest[first : last + 1].min() >= sunk.usual - DOWN[0] * far
    quick = (last - first) * basis.dt_s <= DOWN_S and last <= sunk.last
    if not (quick and stays and foot.stands[max(stood, 0) : first + 1].all()):
        return none
    ways = foot.soles.steps[first:last].sum(axis=0) * [1.0, 1.0, 0.0]
    way = np.asarray(ways[int(np.argmin(np.linalg.norm(ways, axis=-1)))])
    least = HELD_ASIDE_SHARE if are_held(basis, basis.slips) else FREE_ASIDE_SHARE
    seen = least * height * basis.settings.factor("sink")
    return way if seen < float(np.linalg.norm(way)) < far / RISE else none


def in_moments(sunk: list[Sunk]) -> list[list[Sunk]]:
    """Feet that sink, those together that do so at once: that is what carries them."""
    found: list[list[Sunk]] = []
    for each in sorted(sunk, key=lambda s: s.first):
        group = next((g for g in found if any(_together(each, other) for other in g)), None)
        if group is None:
            found.append([each])
        else:
            group.append(each)
    return found


def as_one(sunk: list[Sunk]) -> Sunk:
    """The deepest of some, from where the first goes down to where the last comes up."""
    deepest = max(sunk, key=lambda s: s.depth)
    first, last = min(s.first for s in sunk), max(s.last for s in sunk)
    return replace(deepest, first=first, last=last)


def _together(one: Sunk, other: Sunk) -> bool:
    """Whether both feet sink at once, and about as deep."""
    at_once = max(one.first, other.first) <= min(one.last, other.last)
    feet = one.foot.soles.sole.side != other.foot.soles.sole.side
    deeper = max(one.depth, other.depth)
    return feet and at_once and abs(one.depth - other.depth) <= ALIKE_SHARE * deeper
