# SPDX-License-Identifier: GPL-3.0-or-later
"""`sink`: does a foot go under the floor, or into what it stands on?"""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.contacts import runs
from ..basis.ground import FLOOR
from ..basis.slips import are_held
from ..declared import is_declared
from ..evidence import Evidence
from ..loop import Cycle
from ..sunk import Depths, Sunk, as_one, depths_of, in_moments, is_on_something
from .contract import CheckInfo
from .sink_words import again_and_again, all_alike, good_text, on_something, sunk_event

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Shares of the height; at 1.7 m: a foot that is held (by an IK target) sinks from 1.8 cm on, one
# that is not from 3.5 cm; and by so much further than is usual in the shot. Held feet that float
# as a rule tell the floor no better than that.
HELD_SHARE, FREE_SHARE = 0.018 / 1.7, 0.035 / 1.7
# ... and so many times as deep as all but the deepest tenth, or fiftieth, of these.
HELD_TIMES, HELD_DEEPEST = 1.3, 0.9
FREE_TIMES, FREE_DEEPEST = 1.7, 0.98
# Where feet that are not held keep to their floor, so that all but their deepest fiftieth (of a
# second or more) are no deeper than .8 cm, 2.8 cm is enough for one that stands.
KEPT_SHARE, KEPT_LEAST_SHARE, KEPT_S = 0.008 / 1.7, 0.028 / 1.7, 1.0
# One that stays deeper than this share of that in between is down once.
STAYS_SHARE = 1.0 / 3.0
# A foot that stands for less than half of the time, or is there for a short one (and not held),
# passes through: the floor alone, and so many times as deep.
STANDS_MOST, LASTS_S, PASS_TIMES = 0.5, 0.1, 2.0
# So many times, over this share of the shot or more, is the shot's way.
MANY, SPREAD_SHARE = 4, 0.5
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
        "or sink as deep again and again (four times or more, spread over half of the shot), are "
        "told and not blamed. A stand is one sink; feet that are held and too low together are "
        "one of both. Of a foot that stood, and goes aside on its way down (2 cm, 3 where not "
        "held), that is told as well. A foot that stands 12 cm or more (at 1.7 m) under a floor "
        "that nobody stated is on something that was not declared: it is not judged."
    ),
    unit="cm",
    limit="at 1.7 m: 1.8 cm where the shot's feet are held (see slide), else 3.5 cm",
    limit_in_full=(
        "at 1.7 m: 1.8 cm where the shot's feet are held (see slide), else 3.5 cm; and as much "
        "deeper than the shot's planted feet are as a rule (held feet that float: as much more); "
        "and 1.3 times all but their deepest tenth (where not held, 1.7 times all but their "
        "deepest fiftieth); 2.8 cm where feet that are not held are elsewhere no deeper than .8 cm"
    ),
    source="common practice, no source; limits from trials on captured and keyed motion",
    stages=("spline", "polish"),
    mend="Raise the foot's control on the keys of those frames, or lower the floor.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each time a foot sinks, on that foot."""
    if not basis.soles:
        return Evidence("sink", skipped="no foot is known, and only feet can sink")
    feet = [depths_of(basis, each) for each in basis.soles]
    every = np.concatenate([foot.deepest[foot.stands] for foot in feet])
    every = every[np.isfinite(every)]
    if not len(every):
        return Evidence("sink", skipped=ON_EDGES if basis.plants else NO_PLANTS)
    usual = float(np.median(every))
    measures = {"sink_usual_m": usual * basis.height.to_story}
    every_time = [
        each
        for foot in feet
        for each in _sunk(basis, foot, feet)
        if not is_declared(basis, foot.soles.sole.body, each.first, each.last)
    ]
    unknown = [each for each in every_time if is_on_something(basis, each)]
    sunk = [each for each in every_time if each not in unknown]
    own = _deeper_than_the_rest(basis, sunk)
    events = tuple(sunk_event(basis, as_one(m), both=len(m) > 1) for m in in_moments(own))
    borne = on_something(basis, unknown) if unknown else ""
    habit = _habit(basis, usual, [each for each in sunk if each not in own])
    if borne and not (events or habit):
        return Evidence("sink", skipped=borne, measures=measures)
    good = "" if events or habit else good_text(basis, every)
    return Evidence("sink", events, good=good, habit=habit, skipped=borne, measures=measures)


def _deeper_than_the_rest(basis: Basis, sunk: list[Sunk]) -> list[Sunk]:
    """Those that are deeper than they may; where feet sink all the time, deeper than that.

    Both feet of a figure that is too low for some steps sink often, yet in one place.
    """
    found = [each for each in sunk if each.depth > each.limit]
    if len(sunk) < MANY:
        return found
    lasts = max(each.last for each in sunk) - min(each.first for each in sunk) + 1
    if lasts < SPREAD_SHARE * len(basis.frames):
        return found
    usual = float(np.median([each.depth for each in sunk]))
    return [each for each in found if each.depth > FREE_TIMES * usual]


def _sunk(basis: Basis, foot: Depths, feet: list[Depths]) -> list[Sunk]:
    """Each time that one foot is under what bears it, by what counts at all."""
    held = are_held(basis, basis.slips)
    known = np.asarray(foot.soles.sole.known.all(axis=1))
    least = (HELD_SHARE if held else FREE_SHARE) * basis.height.scene_m
    shortest = max(round(SHORTEST_S / basis.dt_s), 2)
    least *= basis.settings.factor("sink")
    low = np.any([each.deepest > least for each in feet], axis=0)
    found = []
    for first, last in _dips(foot, known, least):
        if last - first + 1 < shortest:
            continue
        depth = float(np.sort(foot.deepest[first : last + 1])[-shortest])
        moment = _moment(low, first, last) if held else (first, last)
        usual, limit = _limit(basis, _elsewhere(basis, feet, *moment), held=held)
        limit *= _times(basis, foot, (first, last), held=held)
        found.append(Sunk(foot, first, last, depth, limit, usual))
    return found if held else found + _above_kept_floor(basis, foot, feet, found)


def _above_kept_floor(
    basis: Basis, foot: Depths, feet: list[Depths], deeper: list[Sunk]
) -> list[Sunk]:
    """Stands that are too deep among feet that keep to their floor, beside the `deeper` ones.

    What a foot trembles makes its deepest samples deeper than it stands.
    """
    height, factor = basis.height.scene_m, basis.settings.factor("sink")
    known = np.asarray(foot.soles.sole.known.all(axis=1))
    shortest, found = max(round(SHORTEST_S / basis.dt_s), 2), []
    for first, last in _dips(foot, known, HELD_SHARE * height * factor):
        told = any(d.depth > d.limit and d.first <= last and d.last >= first for d in deeper)
        elsewhere = _elsewhere(basis, feet, first, last)
        if told or last - first + 1 < shortest or len(elsewhere) * basis.dt_s < KEPT_S:
            continue
        if float(np.quantile(elsewhere, FREE_DEEPEST)) > KEPT_SHARE * height:
            continue
        depth = float(np.sort(foot.deepest[first : last + 1])[-shortest]) - basis.tremble
        usual = max(float(np.median(elsewhere)), 0.0)
        limit = usual + KEPT_LEAST_SHARE * height * factor
        limit *= _times(basis, foot, (first, last), held=False)
        if depth > limit:
            found.append(Sunk(foot, first, last, depth, limit, usual))
    return found


def _dips(foot: Depths, known: Bools, least: float) -> list[tuple[int, int]]:
    """When a foot is deeper than `least`; one that hardly comes up in between is down once."""
    found: list[tuple[int, int]] = []
    for first, last in runs((foot.deepest > least) & known):
        up = foot.deepest[found[-1][1] : first] if found else np.array([-np.inf])
        if up.min() > STAYS_SHARE * least and known[first - len(up) : first].all():
            first = found.pop()[0]
        found.append((first, last))
    return found


def _moment(low: Bools, first: int, last: int) -> tuple[int, int]:
    """The time (T,) around a dip in which any foot is low: the body may be, for some steps.

    That of most of the shot is its way, and no moment.
    """
    before, after = np.flatnonzero(~low[:first]), np.flatnonzero(~low[last + 1 :])
    start = int(before[-1]) + 1 if len(before) else 0
    end = last + int(after[0]) if len(after) else len(low) - 1
    return (start, end) if end - start + 1 < SPREAD_SHARE * len(low) else (first, last)


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
