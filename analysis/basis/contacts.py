# SPDX-License-Identifier: GPL-3.0-or-later
"""Contacts: which feet are planted, from the height and the stillness of their soles together.

Height alone does not do: a swinging foot passes within centimetres of the floor. Distances are
given at a height of 1.7 m and grow with the figure.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .ground import LOW_SHARE, Ground
from .soles import Sole

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

# A sole point slower than this share of the height a second may stand (.4 m/s).
STILL_SHARE = 0.4 / 1.7
# A plant lasts so long, or the foot only passes. A shorter break is none (the foot pops) where
# the foot comes down again where it was, to this share of the height (1.5 cm).
SHORTEST_S, BREAK_S, SAME_PLACE_SHARE = 0.1, 0.05, 0.015 / 1.7
# A foot that is low but fast for no longer than this slips, where nothing else bears the body.
SLIPS_S = 0.25
# While another foot stands, it slips only where a point of it keeps this near to its height (.4
# cm), and no further than so much (6 cm; 10 where it keeps it to .05 cm): else it steps. One that
# bears the body alone cannot step: there it slips as far as 16 cm, further it is thrown. It goes as
# a whole then: points that differ by more than this share of its way turn, as it pivots in a hop.
TOUCH_SHARE, SHUFFLE_SHARE = 0.004 / 1.7, 0.06 / 1.7
EXACT_SHARE, EXACT_SHUFFLE_SHARE, ALONE_SHARE = 0.0005 / 1.7, 0.1 / 1.7, 0.16 / 1.7
WHOLE = 0.2


@dataclass(frozen=True, eq=False)
class Soles:
    """A foot's sole over what bears it.

    clearance (T,N)    metres above what lies under each point
    which (T,N)        the box there, or ground.FLOOR
    steps (T-1,N,3)    metres that each point moves over what bears it
    speed (T,N)        m/s over what bears it, the slower of the steps before and after
    """

    sole: Sole
    clearance: Floats
    which: Ints
    steps: Floats
    speed: Floats


@dataclass(frozen=True)
class Plant:
    """A foot that stands, from sample `first` to `last`, both included.

    side L or R; body: the foot's index; box: what it stands on, or ground.FLOOR
    lands, leaves: whether the range shows that it comes down, and that it lifts
    """

    side: str
    body: int
    first: int
    last: int
    box: int
    lands: bool
    leaves: bool


def over_ground(basis: "Basis", sole: Sole, ground: Ground) -> Soles:
    """A sole's heights and speeds over what bears it."""
    height, which = ground.surface(sole.points)
    steps = ground.steps(sole.points, which)
    pace = np.linalg.norm(steps, axis=-1) / basis.dt_s
    ends = np.full((1, pace.shape[1]), np.inf)
    speed = np.minimum(np.concatenate((ends, pace)), np.concatenate((pace, ends)))
    return Soles(sole, sole.points[..., 2] - height, which, steps, speed)


def find_plants(basis: "Basis", soles: Soles, level: Bools | None = None) -> tuple[Plant, ...]:
    """All plants of one foot, in time's order.

    level (T-1,) steps on which it touches beyond doubt (see `level`), however fast it is

    A foot stands from one sample to the next while a sole point is low (3.5 cm) at both and
    slow (.4 m/s) between them, for a tenth of a second at least. A break of a frame or two
    ends a plant only when the foot comes down elsewhere.
    """
    height = basis.height.scene_m
    low = (soles.clearance < LOW_SHARE * height) & soles.sole.known
    pace = np.linalg.norm(soles.steps, axis=-1) / basis.dt_s
    holds = low[1:] & low[:-1] & (pace < STILL_SHARE * height)
    stands = np.asarray(holds.any(axis=1))
    stands = stands if level is None else stands | level
    longest = _break_steps(basis)
    for first, last in runs(~stands):
        if first > 0 and last < len(stands) - 1 and last - first + 1 <= longest:
            way = np.linalg.norm(soles.steps[first : last + 1].sum(axis=0), axis=-1)
            stands[first : last + 1] = way.min() < SAME_PLACE_SHARE * height
    least = max(round(SHORTEST_S / basis.dt_s), 2)
    return tuple(
        _plant(soles, holds, first, last + 1)
        for first, last in runs(stands)
        if last - first + 1 >= least
    )


def join_slipped(
    basis: "Basis", soles: Sequence[Soles], plants: Sequence[Plant]
) -> tuple[Plant, ...]:
    """The plants, with those of one foot joined between which it slips too fast to stand.

    It slips where it stays low for a quarter of a second at most and no other foot stands: a
    foot that steps leaves the body to the other one. Where another one stands, or within a
    frame or two, it slips if a low point of its sole stays at the height on which it stood (.4 cm
    at 1.7 m), and goes no further than 6 cm (10 at the very same height, 16 where it bears the
    body alone): else it steps, or jumps.
    """
    of = {each.sole.side: each for each in soles}
    joined: list[Plant] = []
    for plant in plants:
        before = joined[-1] if joined and joined[-1].side == plant.side else None
        if before is not None and _slips(basis, of[plant.side], before, plant, plants):
            joined[-1] = replace(before, last=plant.last, leaves=plant.leaves)
        else:
            joined.append(plant)
    return tuple(joined)


def _slips(
    basis: "Basis", soles: Soles, before: Plant, after: Plant, plants: Sequence[Plant]
) -> bool:
    first, last = before.last, after.first
    low = (soles.clearance < LOW_SHARE * basis.height.scene_m) & soles.sole.known
    alone = not any(p.side != after.side and p.first < last and p.last > first for p in plants)
    short = last - first <= SLIPS_S / basis.dt_s
    stays = bool(low[first : last + 1].any(axis=1).all())
    if not (short and stays and before.box == after.box):
        return False
    jumps = last - first <= _break_steps(basis)
    return (alone and not jumps) or _shuffles(basis, soles, before, after, alone=alone)


def _shuffles(
    basis: "Basis", soles: Soles, before: Plant, after: Plant, *, alone: bool = False
) -> bool:
    """Whether a point that touched stays at its height between two plants, and goes not far."""
    height, between = basis.height.scene_m, soles.clearance[before.last : after.first + 1]
    stands = between.max(axis=0) < LOW_SHARE * height
    keeps = float(np.ptp(between, axis=0)[stands].min(initial=np.inf)) / height
    way = soles.steps[before.last : after.first].sum(axis=0)
    far = float(np.linalg.norm(way, axis=-1).min()) / height
    if keeps < EXACT_SHARE:
        whole = float(np.linalg.norm(way - way.mean(axis=0), axis=-1).max()) < WHOLE * far * height
        return far < (ALONE_SHARE if alone and whole else EXACT_SHUFFLE_SHARE)
    return keeps < TOUCH_SHARE and far < SHUFFLE_SHARE


def _break_steps(basis: "Basis") -> int:
    """Steps that a break lasts at most."""
    return max(round(BREAK_S / basis.dt_s), 2)


def _plant(soles: Soles, holds: Bools, first: int, last: int) -> Plant:
    stood = holds[first:last]
    under = soles.which[first + 1 : last + 1][stood if stood.any() else np.ones_like(stood)]
    values, counts = np.unique(under, return_counts=True)
    return Plant(
        side=soles.sole.side,
        body=soles.sole.body,
        first=first,
        last=last,
        box=int(values[np.argmax(counts)]),
        lands=first > 0,
        leaves=last < len(holds),
    )


def runs(state: Bools) -> list[tuple[int, int]]:
    """First and last index of every run of True, both included."""
    edges = [0, *(np.flatnonzero(state[1:] != state[:-1]) + 1), len(state)]
    return [(int(a), int(b) - 1) for a, b in itertools.pairwise(edges) if b > a and state[a]]


def without_short(state: Bools, value: bool, longest: int) -> Bools:
    """The state with inner runs of `value` that last `longest` samples or fewer turned over."""
    kept = state.copy()
    for first, last in runs(np.asarray(state == value)):
        if first > 0 and last < len(state) - 1 and last - first + 1 <= longest:
            kept[first : last + 1] = not value
    return kept
