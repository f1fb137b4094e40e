# SPDX-License-Identifier: GPL-3.0-or-later
"""`stiff_prop`: is a prop glued to the forearm that swings it?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..carried import Carried, carried_in, second_hand_on
from ..declared import is_declared
from ..evidence import Evidence, RawEvent, Suggestion
from ..loop import Cycle
from ..prop_lag import lag_s, wrist_range_deg
from ..swings import SLOW_S, SWING_DEG, Swing, Ways, stiff_swings, swings, ways_of
from .contract import CheckInfo
from .stiff_prop_words import advice_text, good_text, stiff_text

Floats = NDArray[np.float64]

# A second hand that is on it for this share of a swing makes it two-handed.
TWO_HANDED = 0.5
# What is missing: drag by a frame of a film at 24, and no more than so many degrees.
DRAG_S, DRAG_DEG = 1.0 / 24.0, 30.0

INFO = CheckInfo(
    name="stiff_prop",
    question="Is a prop glued to the forearm that swings it?",
    definition=(
        "A prop's line from base to tip against the forearm that holds it. A swing is a turn of "
        "either by 85 degrees within half a second, or within a second where the arm itself "
        "turns against the chest by a third of it. What drags turns on the forearm as the swing "
        "gathers and loses pace: a prop that does so by less than a drag of .02 s explains (and "
        "by 3 degrees at the most) over a whole stroke, or that does not turn at all (.8 degrees) "
        "over 85 degrees of one, keeps its angle. Holds, slow carries and thrusts turn less; "
        "props that are declared fixed, or that the other hand is on as well, are not asked. "
        "Where every swing of a shot is stiff, that is one finding. Measured, of the first prop: "
        "by how much it trails the forearm, and the range of its angle to it."
    ),
    unit="degrees",
    limit="85 degrees of swing with less drag than .02 s, and 3 degrees or less at the wrist",
    source="common practice (overlap and drag; no source); swings keyed with and without it",
    stages=("polish",),
    mend="Key the wrist a frame or two after the forearm, so that the tip drags and settles late.",
    asked_of="body",
    spaces=("world",),
)


@dataclass(frozen=True, eq=False)
class _Seen:
    """A prop's swings, all of them and the stiff ones, and the ways that tell them."""

    carried: Carried
    ways: Ways
    all: list[Swing]
    stiff: list[Swing]


def find(basis: Basis, _cycle: Cycle) -> Evidence:
    """Stiff swings of every held prop; measures: how far the first trails."""
    asked, why = _asked(basis)
    if not asked:
        return Evidence("stiff_prop", skipped=why)
    seen = [_seen(basis, each, forearm) for each, forearm in asked]
    measures = _measures(basis, seen[0])
    if not any(each.all for each in seen):
        why = f"no prop swings by {SWING_DEG:.0f} degrees within {SLOW_S:.0f} s"
        return Evidence("stiff_prop", skipped=why, measures=measures)
    events = tuple(event for each in seen for event in _events(basis, each))
    good = "" if events else good_text(basis, [(s.carried, s.ways, len(s.all)) for s in seen])
    return Evidence("stiff_prop", events, good=good, measures=measures)


def _asked(basis: Basis) -> tuple[list[tuple[Carried, int]], str]:
    """Props that are to drag, each with the forearm that holds it; else why there is none."""
    carried = carried_in(basis)
    if not carried:
        return [], "no hand holds a prop"
    free = [each for each in carried if not each.fixed]
    if not free:
        return [], "every prop is declared fixed"
    with_arms = [(each, basis.body(f"forearm.{each.side}")) for each in free]
    found = [(each, arm) for each, arm in with_arms if arm is not None and each.length > 0.0]
    known = [(each, arm) for each, arm in found if ways_of(basis, each, arm).known.sum() >= 2]
    return known, "" if known else "no prop is known together with the forearm that holds it"


def _seen(basis: Basis, carried: Carried, forearm: int) -> _Seen:
    ways = ways_of(basis, carried, forearm)
    two = second_hand_on(basis, carried)

    def one_handed(swing: Swing) -> bool:
        return float(two[swing.first : swing.last + 1].mean()) < TWO_HANDED

    def judged(swing: Swing) -> bool:
        declared = is_declared(basis, carried.body, swing.first, swing.last)
        return one_handed(swing) and not declared

    found = stiff_swings(ways, basis.dt_s, factor=basis.settings.factor("stiff_prop"))
    return _Seen(
        carried=carried,
        ways=ways,
        all=[each for each in swings(ways, basis.dt_s) if judged(each)],
        stiff=[each for each in found if judged(each)],
    )


def _events(basis: Basis, seen: _Seen) -> list[RawEvent]:
    """One event a stiff swing; one for all where no swing of the shot has drag."""
    if len(seen.all) > 1 and all(_is_stiff(seen, each) for each in seen.all) and seen.stiff:
        return [_event(basis, seen, max(seen.stiff, key=lambda s: s.turn), len(seen.all))]
    return [_event(basis, seen, each, 1) for each in seen.stiff]


def _is_stiff(seen: _Seen, swing: Swing) -> bool:
    return any(s.first < swing.last and swing.first < s.last for s in seen.stiff)


def _event(basis: Basis, seen: _Seen, swing: Swing, count: int) -> RawEvent:
    tip = seen.carried.placed(basis, seen.carried.tip)
    steps = np.linalg.norm(np.diff(tip[swing.first : swing.last + 1], axis=0), axis=-1)
    peak = swing.first + int(np.argmax(steps))
    seconds = (swing.last - swing.first) * basis.dt_s
    drag = min(swing.turn / seconds * DRAG_S, DRAG_DEG)
    visible = seen.carried.length * float(np.sin(np.radians(drag)))
    span = (swing.first, swing.last)
    return RawEvent(
        check="stiff_prop",
        body=seen.carried.body,
        first=swing.first,
        last=swing.last,
        peak=peak,
        amount=swing.turn,
        limit=SWING_DEG,
        unit="degrees",
        visible_m=visible,
        step_m=min(float(steps.max()), visible),
        says=stiff_text(basis, span, swing, count),
        suggestion=Suggestion(
            advice_text(basis, span, drag, seen.carried), frame=float(basis.frames[swing.first])
        ),
    )


def _measures(basis: Basis, seen: _Seen) -> dict[str, float]:
    """How far a prop trails, where that can be told, and the range of its angle to the forearm."""
    late = lag_s(seen.ways, basis.dt_s)
    lag = {} if late is None else {"prop_lag_s": late}
    return {**lag, "prop_wrist_range_deg": wrist_range_deg(seen.ways)}
