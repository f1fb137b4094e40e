# SPDX-License-Identifier: GPL-3.0-or-later
"""`sink`: does a foot go under the floor, or into what it stands on?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.contacts import Soles, runs
from ..basis.slips import are_held
from ..declared import is_declared
from ..evidence import Evidence, RawEvent, Suggestion
from ..loop import Cycle
from ..words import count_text, frame_text, size_text
from .contract import CheckInfo

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Shares of the height; at 1.7 m: a foot that is held (by an IK target) sinks from 1.5 cm on, one
# that is not from 2.5 cm; and by so much further than is usual in the shot.
HELD_SHARE, FREE_SHARE = 0.015 / 1.7, 0.025 / 1.7
# ... and so many times as deep as all but the deepest tenth, or fiftieth, of what its planted feet
# are at other times.
HELD_TIMES, HELD_DEEPEST = 1.3, 0.9
FREE_TIMES, FREE_DEEPEST = 1.5, 0.98
# Two feet sink together where they do so for this share of the shorter time, and differ by this
# share of the deeper one at most.
OVERLAP_SHARE, ALIKE_SHARE = 0.5, 0.3
# So many times is the shot's way.
MANY = 4
# Shorter is none; so much around it tells nothing of what is usual, and less than that tells none.
SHORTEST_S, AROUND_S, LEAST_S = 0.06, 0.15, 0.25
# Less than this is none, metres.
NOTHING_M = 0.0005

INFO = CheckInfo(
    name="sink",
    question="Does a foot go under the floor, or into what it stands on?",
    definition=(
        "How far the lowest point of the sole (heel, ball, toe, lowered by the thickness that the "
        "rest pose tells) is under the floor, or under the top of a declared support, for .06 "
        "seconds or more. Compared with how deep the shot's planted feet are at other times: feet "
        "that all stand as deep, or sink as deep again and again, are told and not blamed."
    ),
    unit="cm",
    limit=(
        "at 1.7 m 1.5 cm where the shot's feet are held (see slide), else 2.5 cm; as much deeper "
        "than the shot's planted feet are as a rule; 1.3 times all but their deepest tenth (where "
        "not held, 1.5 times all but their deepest fiftieth)"
    ),
    source="common practice, no source; limits from trials on captured and keyed motion",
    stages=("spline", "polish"),
    mend="Raise the foot's control on the keys of those frames, or lower the floor.",
)


@dataclass(frozen=True, eq=False)
class Sunk:
    """A foot that is under what bears it from sample first to last; depths in metres."""

    soles: Soles
    first: int
    last: int
    depth: float
    limit: float
    usual: float


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each time a foot sinks, on that foot."""
    if not basis.soles:
        return Evidence("sink", skipped="no foot is known, and only feet can sink")
    standing = {each.sole.side: _standing(basis, each) for each in basis.soles}
    if not any(stands.any() for stands in standing.values()):
        return Evidence("sink", skipped="no foot is ever planted: nothing tells how it stands")
    depths = {each.sole.side: -each.clearance.min(axis=1) for each in basis.soles}
    every = np.concatenate([depths[side][standing[side]] for side in depths])
    usual = float(np.median(every))
    measures = {"sink_usual_m": usual * basis.height.to_story}
    sunk = [
        each
        for soles in basis.soles
        for each in _sunk(basis, soles, depths, standing)
        if not is_declared(basis, soles.sole.body, each.first, each.last)
    ]
    own = _deeper_than_the_rest(sunk)
    habit = _habit(basis, usual) or _often(basis, sunk, len(sunk) - len(own))
    events = tuple(
        _event(basis, each, both=any(_together(each, other) for other in own))
        for n, each in enumerate(own)
        if not any(_together(each, other) for other in own[:n])
    )
    good = "" if events or habit else _good(basis, every)
    return Evidence("sink", events, good=good, habit=habit, measures=measures)


def _deeper_than_the_rest(sunk: list[Sunk]) -> list[Sunk]:
    """Those that are deeper than they may; where feet sink all the time, deeper than that."""
    found = [each for each in sunk if each.depth > each.limit]
    if len(sunk) < MANY:
        return found
    usual = float(np.median([each.depth for each in sunk]))
    return [each for each in found if each.depth > FREE_TIMES * usual]


def _standing(basis: Basis, soles: Soles) -> Bools:
    """(T,) whether a foot is planted."""
    stands = np.zeros(len(basis.frames), dtype=np.bool_)
    for plant in basis.plants:
        if plant.side == soles.sole.side:
            stands[plant.first : plant.last + 1] = True
    return stands


def _sunk(
    basis: Basis, soles: Soles, depths: dict[str, Floats], standing: dict[str, Bools]
) -> list[Sunk]:
    """Each time that one foot is under what bears it, by what counts at all."""
    held, side = are_held(basis, basis.slips), soles.sole.side
    factor = basis.settings.factor("sink")
    least = (HELD_SHARE if held else FREE_SHARE) * basis.height.scene_m * factor
    shortest = max(round(SHORTEST_S / basis.dt_s), 2)
    found = []
    known = soles.sole.known.all(axis=1)
    for first, last in runs((depths[side] > least) & known):
        if last - first + 1 < shortest:
            continue
        depth = float(np.sort(depths[side][first : last + 1])[-shortest])
        elsewhere = _elsewhere(basis, depths, standing, first, last)
        usual = max(float(np.median(elsewhere)), 0.0) if len(elsewhere) else 0.0
        times = (HELD_TIMES if held else FREE_TIMES) * factor
        share = HELD_DEEPEST if held else FREE_DEEPEST
        deepest = float(np.quantile(elsewhere, share)) if len(elsewhere) else 0.0
        limit = max(usual + least, times * deepest)
        found.append(Sunk(soles, first, last, depth, limit, usual))
    return found


def _elsewhere(
    basis: Basis, depths: dict[str, Floats], standing: dict[str, Bools], first: int, last: int
) -> Floats:
    """How deep planted feet are at other times than this; empty where that is too little."""
    around = round(AROUND_S / basis.dt_s)
    found = []
    for side, stands in standing.items():
        counts = stands.copy()
        counts[max(first - around, 0) : last + around + 1] = False
        found.append(depths[side][counts])
    every: Floats = np.concatenate(found)
    return every if len(every) * basis.dt_s >= LEAST_S else every[:0]


def _together(one: Sunk, other: Sunk) -> bool:
    """Whether both feet sink at once, and about as deep: that is what carries them."""
    first, last = max(one.first, other.first), min(one.last, other.last)
    shorter = min(each.last - each.first for each in (one, other))
    deeper = max(one.depth, other.depth)
    feet = one.soles.sole.side != other.soles.sole.side
    alike = abs(one.depth - other.depth) <= ALIKE_SHARE * deeper
    return feet and alike and last - first >= OVERLAP_SHARE * shorter


def _event(basis: Basis, sunk: Sunk, *, both: bool) -> RawEvent:
    to_story, sole = basis.height.to_story, sunk.soles.sole
    depths = -sunk.soles.clearance[sunk.first : sunk.last + 1].min(axis=1)
    peak = sunk.first + int(np.argmax(depths))
    point = int(np.argmin(sunk.soles.clearance[peak]))
    ground = basis.ground.name(int(sunk.soles.which[peak, point]))
    first, last = (frame_text(basis.frames[at]) for at in (sunk.first, sunk.last))
    size = size_text(sunk.depth * to_story)
    usual = ""
    if sunk.usual * to_story >= 10.0 * NOTHING_M:
        usual = f", the shot's feet {size_text(sunk.usual * to_story)} as a rule"
    up = sunk.depth - sunk.usual
    return RawEvent(
        check="sink",
        body=basis.lead if both else sole.body,
        first=sunk.first,
        last=sunk.last,
        peak=peak,
        amount=sunk.depth * to_story * 100.0,
        limit=sunk.limit * to_story * 100.0,
        unit="cm",
        visible_m=up,
        step_m=0.0,
        says=(
            f"Both feet go {size} under {ground}, frames {first} to {last}{usual}: the {{who}} "
            "takes them there, or both are keyed so."
            if both
            else f"The {{who}} goes {size} under {ground}, frames {first} to {last}{usual}."
        ),
        suggestion=Suggestion(
            f"Raise {'both feet' if both else '{it}'} by {size_text(up * to_story)} from frame "
            f"{first} to {last}.",
            frame=float(basis.frames[peak]),
            position=basis.positions[peak, sole.body] + np.array([0.0, 0.0, up]),
            offset=np.array([0.0, 0.0, up]),
        ),
    )


def _good(basis: Basis, every: Floats) -> str:
    deepest = max(float(np.quantile(every, FREE_DEEPEST)), 0.0) * basis.height.to_story
    plants = count_text(len(basis.plants), "plant")
    if deepest < NOTHING_M:
        return f"{plants}: no foot goes under what it stands on."
    return f"{plants}: no foot goes more than {size_text(deepest)} under what it stands on."


def _habit(basis: Basis, usual: float) -> str:
    """A sentence where feet stand deep, or above the ground, all through the shot."""
    if abs(usual) < HELD_SHARE * basis.height.scene_m:
        return ""
    where = "under" if usual > 0.0 else "above"
    size = size_text(abs(usual) * basis.height.to_story)
    return f"The feet stand {size} {where} the floor all through: its height, or a style."


def _often(basis: Basis, sunk: list[Sunk], alike: int) -> str:
    """A sentence where feet sink again and again."""
    if alike < MANY:
        return ""
    size = size_text(float(np.median([each.depth for each in sunk])) * basis.height.to_story)
    return f"Feet go {size} under the floor again and again, {alike} times: its height, or a style."
