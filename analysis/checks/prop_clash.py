# SPDX-License-Identifier: GPL-3.0-or-later
"""`prop_clash`: does a prop cut through the body that carries it?"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.contacts import runs
from ..body_shape import Flesh, flesh_of
from ..carried import Carried, carried_in, other_side, second_hand_on
from ..crossing import Crossing, crossing
from ..declared import is_declared
from ..evidence import Evidence, RawEvent, Suggestion
from ..loop import Cycle
from .contract import CheckInfo
from .prop_clash_words import advice_text, clash_text, good_text, worn_text

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# How deep, of the height (1 cm at 1.7 m); between frames, where the way is a guess, so many times.
DEEP_SHARE, BETWEEN_TIMES = 0.006, 2.0
# What is in the body for this share of the range is worn, or lies on it.
WORN_SHARE = 0.8
# What cuts into one part so often, and on average once in so many seconds, is told once.
OFTEN, OFTEN_S = 5, 2.0

INFO = CheckInfo(
    name="prop_clash",
    question="Does a prop cut through the body?",
    definition=(
        "The line from a held prop's base to its tip, and both edges where it is flat, against "
        "head, trunk, legs and the other arm as rods with radii that are shares of the height "
        "(head .062, trunk .065 to .07, thigh .045, shin .031, hand .025, forearm .023); how deep "
        "the line is inside. Between two frames it is followed as well, and counts from twice "
        "the depth on. The holding arm is excused, a second hand that goes with the prop for "
        "half a second, and a part that the prop is in over .8 of the range: worn, told as a "
        "style. What cuts into one part five times or more is one finding, at the deepest."
    ),
    unit="cm",
    limit=".6 % of the height deep (1 cm at 1.7 m), twice that between two frames",
    source="radii from body breadths (Winter 2009) and surveys (from memory); common practice",
    stages=("spline", "polish"),
    mend="Move or turn the prop, or the part, on the frame named, by the way told.",
    asked_of="body",
    spaces=("world",),
)


@dataclass(frozen=True, eq=False)
class _Clash:
    """A prop in a part over samples first..last, deepest at `peak`; between: after that sample.
    times: how often it is in that part, where one stands for all."""

    carried: Carried
    part: Flesh
    first: int
    last: int
    peak: int
    depth: float
    between: bool
    way: Floats
    times: int = 1


def find(basis: Basis, _cycle: Cycle) -> Evidence:
    """Clashes of every held prop with the body, and what it wears."""
    carried = carried_in(basis)
    if not carried:
        return Evidence("prop_clash", skipped="no hand holds a prop")
    flesh = flesh_of(basis)
    clashes: list[_Clash] = []
    worn: list[tuple[Carried, Flesh]] = []
    for each in carried:
        found, kept = _of_prop(basis, each, [part for part in flesh if _may_hit(each, part)])
        clashes += found
        worn += [(each, part) for part in kept]
    events = [_event(basis, each) for each in clashes]
    good = "" if events or worn else good_text(basis, carried)
    habit = worn_text(basis, [(each.body, part.part) for each, part in worn])
    return Evidence("prop_clash", tuple(events), good=good, habit=habit)


def _may_hit(carried: Carried, part: Flesh) -> bool:
    """Whether it is no part of the arm that holds the prop."""
    own = {f"{kind}.{carried.side}" for kind in ("hand", "forearm", "upper_arm")}
    return part.part not in own


def _of_prop(
    basis: Basis, carried: Carried, flesh: list[Flesh]
) -> tuple[list[_Clash], list[Flesh]]:
    """The prop's clashes, the deepest of each moment, and the parts that it is worn on."""
    if not flesh:
        return [], []
    seen = crossing(basis, carried, flesh)
    limit = basis.settings.factor("prop_clash") * DEEP_SHARE * basis.height.scene_m
    known = np.stack([basis.valid[:, p.body] & basis.valid[:, carried.body] for p in flesh], 1)
    known &= ~_held(basis, carried, flesh)
    deep = (seen.depth > limit) & known
    worn = deep.sum(axis=0) >= WORN_SHARE * np.maximum(known.sum(axis=0), 2)
    after = np.concatenate((known[1:], known[-1:]))
    passes = (seen.between > BETWEEN_TIMES * limit) & known & after & ~deep
    inside = (deep | passes) & ~worn
    spans = runs(_bridged(inside.any(axis=1)))
    found = [_clash(carried, flesh, seen, inside, deep, span) for span in spans]
    kept = [part for part, on in zip(flesh, worn, strict=True) if on]
    found = [c for c in found if not is_declared(basis, carried.body, c.first, c.last)]
    return _once_for_many(found, basis.dt_s), kept


def _once_for_many(clashes: list[_Clash], dt_s: float) -> list[_Clash]:
    """One clash, the deepest, for a part that the prop cuts into again and again."""
    kept: list[_Clash] = []
    for part in dict.fromkeys(clash.part for clash in clashes):
        ours = [clash for clash in clashes if clash.part is part]
        seconds = (ours[-1].last - ours[0].first) * dt_s
        if len(ours) < OFTEN or len(ours) * OFTEN_S < seconds:
            kept += ours
        else:
            kept.append(replace(max(ours, key=lambda clash: clash.depth), times=len(ours)))
    return sorted(kept, key=lambda clash: clash.first)


def _held(basis: Basis, carried: Carried, flesh: list[Flesh]) -> Bools:
    """(T,C) where a part is the arm of a second hand that is on the prop."""
    side = other_side(carried)
    arm = {f"{kind}.{side}" for kind in ("hand", "forearm")}
    held = second_hand_on(basis, carried)
    return np.stack([held & (part.part in arm) for part in flesh], axis=1)


def _bridged(inside: Bools) -> Bools:
    """With single samples between two that are inside filled."""
    filled = inside.copy()
    filled[1:-1] |= inside[:-2] & inside[2:]
    return filled


def _clash(
    carried: Carried,
    flesh: list[Flesh],
    seen: Crossing,
    inside: Bools,
    deep: Bools,
    span: tuple[int, int],
) -> _Clash:
    """The deepest of a stretch: on a frame where it is inside on any, else between two."""
    first, last = span
    on_frame = bool(deep[first : last + 1][inside[first : last + 1]].any())
    depth = seen.depth if on_frame else seen.between
    where = (inside & deep) if on_frame else inside
    masked = np.where(where, depth, -np.inf)[first : last + 1]
    at, part = np.unravel_index(int(np.argmax(masked)), masked.shape)
    peak = first + int(at)
    return _Clash(
        carried=carried,
        part=flesh[int(part)],
        first=first,
        last=last if on_frame else min(last + 1, len(depth) - 1),
        peak=peak,
        depth=float(masked[at, part]),
        between=not on_frame,
        way=seen.ways[peak, part],
    )


def _event(basis: Basis, clash: _Clash) -> RawEvent:
    body = clash.carried.body
    limit = basis.settings.factor("prop_clash") * DEEP_SHARE * basis.height.scene_m
    # Out along the way that it lies off the part's axis, and a limit further.
    off = float(np.linalg.norm(clash.way))
    way = clash.way / off if off > 1e-9 else np.array([0.0, 0.0, 1.0])
    offset = way * (clash.depth + limit)
    where = (clash.first, clash.last, clash.peak)
    known = None if clash.between else offset
    text = advice_text(basis, clash.part.part, clash.peak, known)
    told = Suggestion(text, frame=float(basis.frames[clash.peak]), offset=known)
    return RawEvent(
        check="prop_clash",
        body=body,
        first=clash.first,
        last=clash.last,
        peak=clash.peak,
        amount=basis.amount(clash.depth),
        limit=basis.amount(limit * (BETWEEN_TIMES if clash.between else 1.0)),
        unit=basis.unit,
        visible_m=clash.depth,
        step_m=_hidden_by(basis, clash),
        says=clash_text(
            basis, clash.part.part, where, clash.depth, between=clash.between, times=clash.times
        ),
        suggestion=told,
    )


def _hidden_by(basis: Basis, clash: _Clash) -> float:
    """How far the prop goes in a frame there, where it is inside on no more than one: what stays
    inside is seen, however fast it goes."""
    if clash.last > clash.first and not clash.between:
        return 0.0
    tip = clash.carried.placed(basis, clash.carried.tip)
    near = tip[max(clash.peak - 1, 0) : clash.peak + 2]
    return float(np.linalg.norm(np.diff(near, axis=0), axis=-1).mean())
