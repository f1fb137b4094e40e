# SPDX-License-Identifier: GPL-3.0-or-later
"""`off_arc`: does one key sit off the arc that its neighbours make?"""

from collections.abc import Generator

import numpy as np

from ..arc_keys import KeyMiss, key_errors_in_steps
from ..basis import Basis
from ..declared import is_declared
from ..evidence import Evidence, RawEvent
from ..in_steps import at_once
from ..loop import Cycle
from ..parts import LEG, split_part
from .contract import CheckInfo
from .off_arc_late import late_events
from .off_arc_odd import odd_events
from .off_arc_words import arc_advice, arc_words

# A miss over the geometric mean of the largest other one of its control and the way to the nearer
# neighbour (see KeyMiss.clear); from trials on keyed motion.
CLEAR = 1.8
# Of the height: what is less shows in no path (1.7 cm at 1.7 m).
LEAST_SHARE = 0.01
# Of the height: what lies further off is a pose by itself (17 cm at 1.7 m).
MOST_SHARE = 0.1
# The path must get so much smoother: nearly half of what is off must go with the key.
GAIN = 0.4
# An extreme may lie where it was put, and a breakdown is there to bend the arc (common practice, no
# source).
WEIGHS = {"EXTREME": 1.25, "BREAKDOWN": 1.1}

INFO = CheckInfo(
    name="off_arc",
    question="Does one key sit off the arc that its neighbours make?",
    definition=(
        "Each inner key of a control's location or rotation is left out, and the two keys before "
        "it and the two after it give an arc, seen from what carries the control. How far the "
        "key puts the joint that it shifts, or the furthest point that it turns, off that arc, "
        "square to its way, is compared with the largest such miss of the control's other keys, "
        "with the way to the nearer neighbouring key, and with what other controls keyed for "
        "the same pose are off. Times do not matter: a key that is early is on its arc. Without "
        "the key its neighbours must miss less. Where three keys on either side lie evenly, "
        "circles through these tell the arc. Needs five keys or more; legs, whose arcs the "
        "ground bends, controls with one moving channel and stepped keys are not judged. A key of "
        "a group of six or more is told as well where putting it on the smoothest way of its own "
        "curves takes far more jerk off these than it leaves, and than any other key's would, and "
        "moves what follows the control by .9 % of the height. And where a control's keys lie on "
        "frames that 30 % of the others are keyed on, but for one that stands a frame beside such "
        "a frame, that one is late or early. In "
        "fast, large motion keys lie far from their neighbours' arcs by right, and a stray one "
        "is seldom told there."
    ),
    unit="cm",
    limit="1 % of the height, and clearly more than what the shot's other keys are off",
    limit_in_full=(
        "1 % of the height, and not beyond 10 %; 1.8 times the geometric mean of the largest "
        "other miss and the way to the nearer neighbour, more where the pose's other keys are "
        "off; on even stretches 3 times what the next keys are off their circles; extremes 1.25 "
        "times as much, breakdowns 1.1; or .9 % of the height, and jerk taken over "
        "jerk left, times the root of the jerk taken over what is usual, 2.2 times (1 + the "
        "largest such ratio of the group's other keys); a key beside a pose: .9 % of the height"
    ),
    source="Catmull & Rom 1974 (the arc, centripetal); limits from trials on keyed motion",
    stages=("spline", "polish"),
    mend="Move the key onto the arc, or delete it.",
    asked_of="shot",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Stray keys of every control."""
    return at_once(find_in_steps(basis, cycle))


def find_in_steps(basis: Basis, _cycle: Cycle) -> Generator[None, None, Evidence]:
    """`find` with a pause after each control."""
    if not basis.clip.meta.curves:
        return Evidence("off_arc", skipped="needs the keys of the controls: the clip has none")
    errors = yield from key_errors_in_steps(basis)
    judged = [each for each in errors if _is_judged(basis, each)]
    factor = basis.settings.factor("off_arc")
    height = basis.height.scene_m
    least, most = factor * LEAST_SHARE * height, MOST_SHARE * height
    late = late_events(basis)
    yield
    off = [
        each
        for each in judged
        if (each.control, each.group, each.frame) not in late
        and least <= each.amount <= most
        and each.gain >= GAIN
        and each.clear >= _limit(each, factor)
    ]
    events = tuple(
        _event(basis, each, max(least, each.amount * _limit(each, factor) / each.clear))
        for each in off
    )
    told = {(each.control, each.group, each.frame) for each in off} | set(late)
    odd = yield from odd_events(basis, told)
    events += (*odd, *late.values())
    if not judged and not events:
        why = "no control has five keys or more, on two channels that move, with its matrix"
        return Evidence("off_arc", skipped=why)
    return Evidence("off_arc", events, good="" if events else "No key sits off its arc.")


def _is_judged(basis: Basis, miss: KeyMiss) -> bool:
    part = basis.bodies[miss.body].part
    if part is not None and split_part(part)[0] in LEG:
        return False
    path = miss.path
    if path.moving < 2 or path.stepped:
        return False
    samples = path.samples[miss.key - 1 : miss.key + 2]
    if not basis.valid[samples, miss.body].all():
        return False
    return not is_declared(basis, miss.body, miss.sample, miss.sample)


def _limit(miss: KeyMiss, factor: float) -> float:
    return factor * CLEAR * WEIGHS.get(miss.path.key_types[miss.key], 1.0)


def _event(basis: Basis, miss: KeyMiss, limit: float) -> RawEvent:
    path = basis.marks[:, miss.body, miss.mark]
    around = path[max(miss.sample - 2, 0) : miss.sample + 3]
    step = float(np.linalg.norm(np.diff(around, axis=0), axis=-1).max())
    before, after = miss.path.samples[[miss.key - 1, miss.key + 1]]
    return RawEvent(
        check="off_arc",
        body=miss.body,
        first=int((before + miss.sample + 1) // 2),
        last=int((miss.sample + after) // 2),
        peak=miss.sample,
        amount=basis.amount(miss.amount),
        limit=basis.amount(limit),
        unit=basis.unit,
        visible_m=miss.amount,
        step_m=step,
        says=arc_words(basis, miss),
        point=basis.mark_name(miss.body, miss.mark),
        suggestion=arc_advice(basis, miss),
    )
