# SPDX-License-Identifier: GPL-3.0-or-later
"""`sink`: does a foot go under the floor, or into what it stands on?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.boxes import over_top
from ..basis.contacts import Soles, runs
from ..basis.ground import FLOOR, LOW_SHARE
from ..basis.slips import are_held
from ..declared import is_declared
from ..evidence import Evidence
from ..loop import Cycle
from .contract import CheckInfo
from .sink_words import again_and_again, all_alike, good_text, sunk_event

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Shares of the height; at 1.7 m: a foot that is held (by an IK target) sinks from 1.8 cm on, one
# that is not from 3.5 cm; and by so much further than is usual in the shot. Held feet that float
# as a rule tell the floor no better than that.
HELD_SHARE, FREE_SHARE = 0.018 / 1.7, 0.035 / 1.7
# ... and so many times as deep as all but the deepest tenth, or fiftieth, of these.
HELD_TIMES, HELD_DEEPEST = 1.3, 0.9
FREE_TIMES, FREE_DEEPEST = 1.7, 0.98
# A foot that stands for less than half of the time, or is there for a short one (and not held),
# passes through: the floor alone, and so many times as deep.
STANDS_MOST, LASTS_S, PASS_TIMES = 0.5, 0.1, 2.0
# A support reaches so far in from its edge (2 cm at 1.7 m): a foot that is on the edge is not in.
INSIDE_SHARE = 0.02 / 1.7
# Two feet sink together where they do so for this share of the shorter time, and differ by this
# share of the deeper one at most.
OVERLAP_SHARE, ALIKE_SHARE = 0.5, 0.3
# So many times is the shot's way.
MANY = 4
# Shorter is none; so much around it tells nothing of what is usual, and less than that tells none.
SHORTEST_S, AROUND_S, LEAST_S = 0.06, 0.15, 0.25

NO_PLANTS = "no foot is ever planted (low, and slow for a while)"
ON_EDGES = "feet only stand on edges and rungs: nothing tells how deep they are in them"

INFO = CheckInfo(
    name="sink",
    question="Does a foot go under the floor, or into what it stands on?",
    definition=(
        "How far the lowest point of the sole (heel, ball, toe, lowered by the thickness that the "
        "rest pose tells) is under the floor, or under the top of a declared support, 2 cm inside "
        "of its edges at 1.7 m, while the foot stands, for a tenth of a second or more (a held "
        "foot for .06); one that only passes through the floor must be twice as deep. Compared "
        "with how deep the shot's planted feet are at other times: feet that all stand as deep, "
        "or sink as deep again and again, are told and not blamed."
    ),
    unit="cm",
    limit="at 1.7 m: 1.8 cm where the shot's feet are held (see slide), else 3.5 cm",
    limit_in_full=(
        "at 1.7 m: 1.8 cm where the shot's feet are held (see slide), else 3.5 cm; and as much "
        "deeper than the shot's planted feet are as a rule (held feet that float: as much more); "
        "and 1.3 times all but their deepest tenth (where not held, 1.7 times all but their "
        "deepest fiftieth)"
    ),
    source="common practice, no source; limits from trials on captured and keyed motion",
    stages=("spline", "polish"),
    mend="Raise the foot's control on the keys of those frames, or lower the floor.",
)


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


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each time a foot sinks, on that foot."""
    if not basis.soles:
        return Evidence("sink", skipped="no foot is known, and only feet can sink")
    feet = [_depths(basis, each) for each in basis.soles]
    every = np.concatenate([foot.deepest[foot.stands] for foot in feet])
    every = every[np.isfinite(every)]
    if not len(every):
        return Evidence("sink", skipped=ON_EDGES if basis.plants else NO_PLANTS)
    usual = float(np.median(every))
    measures = {"sink_usual_m": usual * basis.height.to_story}
    sunk = [
        each
        for foot in feet
        for each in _sunk(basis, foot, feet)
        if not is_declared(basis, foot.soles.sole.body, each.first, each.last)
    ]
    own = _deeper_than_the_rest(sunk)
    events = tuple(
        sunk_event(basis, each, both=any(_together(each, other) for other in own))
        for n, each in enumerate(own)
        if not any(_together(each, other) for other in own[:n])
    )
    habit = _habit(basis, usual, [each for each in sunk if each not in own])
    good = "" if events or habit else good_text(basis, every)
    return Evidence("sink", events, good=good, habit=habit, measures=measures)


def _deeper_than_the_rest(sunk: list[Sunk]) -> list[Sunk]:
    """Those that are deeper than they may; where feet sink all the time, deeper than that."""
    found = [each for each in sunk if each.depth > each.limit]
    if len(sunk) < MANY:
        return found
    usual = float(np.median([each.depth for each in sunk]))
    return [each for each in found if each.depth > FREE_TIMES * usual]


def _depths(basis: Basis, soles: Soles) -> Depths:
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


def _sunk(basis: Basis, foot: Depths, feet: list[Depths]) -> list[Sunk]:
    """Each time that one foot is under what bears it, by what counts at all."""
    held = are_held(basis, basis.slips)
    known = foot.soles.sole.known.all(axis=1)
    least = (HELD_SHARE if held else FREE_SHARE) * basis.height.scene_m
    shortest = max(round(SHORTEST_S / basis.dt_s), 2)
    found = []
    for first, last in runs((foot.deepest > least * basis.settings.factor("sink")) & known):
        if last - first + 1 < shortest:
            continue
        depth = float(np.sort(foot.deepest[first : last + 1])[-shortest])
        usual, limit = _limit(basis, _elsewhere(basis, feet, first, last), held=held)
        limit *= _times(basis, foot, (first, last), held=held)
        found.append(Sunk(foot, first, last, depth, limit, usual))
    return found


def _times(basis: Basis, foot: Depths, span: tuple[int, int], *, held: bool) -> float:
    """What a limit is multiplied by: 1 for a foot that stands, more for one that passes through."""
    first, last = span
    if foot.stands[first : last + 1].mean() >= STANDS_MOST:
        lasts = held or (last - first + 1) * basis.dt_s >= LASTS_S
        return 1.0 if lasts else PASS_TIMES
    points = foot.clearance[first : last + 1].argmin(axis=1)
    under = foot.soles.which[first : last + 1][np.arange(len(points)), points]
    return PASS_TIMES if (under == FLOOR).all() else np.inf


def _limit(basis: Basis, elsewhere: Floats, *, held: bool) -> tuple[float, float]:
    """How deep a foot usually is, and how deep it may be, from how deep feet are elsewhere (N,)."""
    factor = basis.settings.factor("sink")
    least = (HELD_SHARE if held else FREE_SHARE) * basis.height.scene_m * factor
    if not len(elsewhere):
        return 0.0, least
    median = float(np.median(elsewhere))
    usual, unsure = max(median, 0.0), max(-median, 0.0) if held else 0.0
    deepest = float(np.quantile(elsewhere, HELD_DEEPEST if held else FREE_DEEPEST))
    times = (HELD_TIMES if held else FREE_TIMES) * factor
    return usual, max(usual + unsure + least, times * deepest)


def _elsewhere(basis: Basis, feet: list[Depths], first: int, last: int) -> Floats:
    """How deep planted feet are at other times than this; empty where that is too little."""
    around = round(AROUND_S / basis.dt_s)
    found = []
    for foot in feet:
        counts = foot.stands & np.isfinite(foot.deepest)
        counts[max(first - around, 0) : last + around + 1] = False
        found.append(foot.deepest[counts])
    every: Floats = np.concatenate(found)
    return every if len(every) * basis.dt_s >= LEAST_S else every[:0]


def _habit(basis: Basis, usual: float, alike: list[Sunk]) -> str:
    """A sentence where feet stand deep, or above the ground, all through, or sink in many steps."""
    if abs(usual) >= HELD_SHARE * basis.height.scene_m:
        return all_alike(basis, usual)
    return again_and_again(basis, [each.depth for each in alike]) if len(alike) >= MANY else ""


def _together(one: Sunk, other: Sunk) -> bool:
    """Whether both feet sink at once, and about as deep: that is what carries them."""
    first, last = max(one.first, other.first), min(one.last, other.last)
    shorter = min(each.last - each.first for each in (one, other))
    deeper = max(one.depth, other.depth)
    feet = one.foot.soles.sole.side != other.foot.soles.sole.side
    alike = abs(one.depth - other.depth) <= ALIKE_SHARE * deeper
    return feet and alike and last - first >= OVERLAP_SHARE * shorter
