# SPDX-License-Identifier: GPL-3.0-or-later
"""`torso_break`: do chest and hips come apart?"""

from collections import Counter

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import Evidence, RawEvent, Suggestion
from ..loop import Cycle
from ..parts import label
from ..spine import Spine, find_spine
from ..spine_breaks import JOINT, STRETCH, Break, Breaks, find_breaks
from ..trunk_measures import trunk_measures
from ..words import frame_text
from .contract import CheckInfo
from .torso_break_words import joined, told

Floats = NDArray[np.float64]

# A joint or link that is off so often in a shot is off by style.
HABIT_TIMES = 4
SHORTEST = 6

INFO = CheckInfo(
    name="torso_break",
    question="Do chest and hips come apart?",
    definition=(
        "Each joint between hips and chest is measured against the one below it, since the rest "
        "pose. (1) Where two joints or more bend, each is compared with the mean of the others: "
        "times a factor an axis and with an offset of 6 degrees at most, both fitted to the shot "
        "without what lies far off. What is left for .06 s or more is a break, on the joint that "
        "is off furthest; about an axis about which the others never bend it may bend alone. "
        "(2) The chest against the hips, in any spine: 1.4 times as far as a back goes (85 "
        "degrees forward, 30 back, 35 to a side, 45 twisted). (3) A link that grows or shrinks "
        "by 12 % of its length and .6 % of the height against rest. What happens "
        "four times or more is told as a style, as is a spine that bends at one joint alone. "
        "Norms are for drawn characters. Declared events are left out."
    ),
    unit="degrees",
    limit="13 degrees beyond the share of a joint; 1.4 times what a back does; 12 % of a link",
    source=(
        "joint ranges of the trunk as handbooks of goniometry give them (from memory); limits "
        "from trials on captured and keyed motion with spines of three joints"
    ),
    stages=("spline", "polish"),
    mend="Spread the bend over the joints of the spine, or let the hips turn with the chest.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Breaks of the trunk, and how chest and hips turn against each other."""
    if len(basis.frames) < SHORTEST:
        why = f"needs {SHORTEST} frames or more, the range has {len(basis.frames)}"
        return Evidence("torso_break", skipped=why)
    spine = find_spine(basis)
    if spine is None:
        return Evidence("torso_break", skipped="no chest above hips is known")
    if np.count_nonzero(spine.valid) < SHORTEST:
        return Evidence("torso_break", skipped="chest and hips are not known long enough")
    found = find_breaks(basis, spine, basis.settings.factor("torso_break"))
    habits = _habits(found)
    events = [
        _event(basis, spine, each) for each in found.found if (each.kind, each.place) not in habits
    ]
    habit = _habit_text(basis, spine, found, habits)
    good = "" if events or habits else _good(basis, spine, found)
    measures = trunk_measures(basis, spine)
    return Evidence("torso_break", tuple(events), good=good, habit=habit, measures=measures)


def _habits(found: Breaks) -> set[tuple[str, int]]:
    counts = Counter((each.kind, each.place) for each in found.found)
    return {which for which, times in counts.items() if times >= HABIT_TIMES}


def _habit_text(basis: Basis, spine: Spine, found: Breaks, habits: set[tuple[str, int]]) -> str:
    """A sentence for what the shot does alike, or for a spine that bends at one joint alone."""
    if habits:
        named = joined([f"the {_name(basis, spine.bodies[p])}" for _k, p in sorted(habits)])
        stretches = all(kind == STRETCH for kind, _place in habits)
        what = "The spine stretches at" if stretches else "The trunk breaks again and again at"
        return f"{what} {named}: taken for the shot's style."
    if len(spine.bodies) > 1 and len(found.joints) == 1 and _bends(spine):
        name = _name(basis, spine.bodies[found.joints[0]])
        return f"Of the spine only the {name} bends: taken for the shot's style."
    return ""


def _bends(spine: Spine) -> bool:
    """Whether the chest is ever bent far enough against the hips for joints to share it."""
    return bool(np.linalg.norm(spine.whole[spine.valid], axis=-1).max() >= 10.0)


def _event(basis: Basis, spine: Spine, found: Break) -> RawEvent:
    says, advice = told(basis, spine, found)
    body = spine.bodies[found.place]
    stretch = found.kind == STRETCH
    return RawEvent(
        check="torso_break",
        body=body,
        first=found.first,
        last=found.last,
        peak=found.peak,
        amount=100.0 * abs(found.amount) if stretch else found.amount,
        limit=100.0 * found.limit if stretch else found.limit,
        unit="%" if stretch else "degrees",
        visible_m=_visible(basis, spine, found),
        step_m=_step(basis, spine, found),
        says=says,
        suggestion=Suggestion(advice, frame=float(basis.frames[found.peak])),
    )


def _visible(basis: Basis, spine: Spine, found: Break) -> float:
    """How far the top of the trunk is off by it, metres."""
    body, at = spine.bodies[found.place], found.peak
    if found.kind == STRETCH:
        return abs(float(found.bend[0]))
    over = found.amount if found.kind == JOINT else found.amount - found.limit / 1.4
    return float(np.radians(over) * np.linalg.norm(_top(basis)[at] - basis.positions[at, body]))


def _top(basis: Basis) -> Floats:
    """(T,3) the head's joint, else the tip of the chest."""
    for part in ("head", "neck"):
        body = basis.body(part)
        if body is not None:
            return basis.positions[:, body]
    return basis.marks[:, basis.body("chest") or 0, 1]


def _step(basis: Basis, spine: Spine, found: Break) -> float:
    """How far the top of the trunk travels in a frame around the peak, against the joint."""
    seen = _top(basis) - basis.positions[:, spine.base]
    near = seen[max(found.peak - 3, 0) : found.peak + 4]
    return float(np.linalg.norm(np.diff(near, axis=0), axis=-1).mean())


def _good(basis: Basis, spine: Spine, found: Breaks) -> str:
    apart = np.where(spine.valid, np.linalg.norm(spine.whole, axis=-1), 0.0)
    at = int(np.argmax(apart))
    text = (
        f"Chest and hips hold together: {apart[at]:.0f} degrees apart at most "
        f"(frame {frame_text(basis.frames[at])})"
    )
    if found.most_beyond > 0.0:
        text += f", no joint of the spine more than {found.most_beyond:.0f} beyond its share"
    return f"{text}."


def _name(basis: Basis, body: int) -> str:
    return label(basis.bodies[body].part or basis.bodies[body].name)
