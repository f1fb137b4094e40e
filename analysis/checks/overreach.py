# SPDX-License-Identifier: GPL-3.0-or-later
"""`overreach`: does a limb stretch, or stay behind its goal, where that lies beyond its reach?"""

from ..basis import Basis
from ..declared import is_declared
from ..evidence import Evidence, RawEvent
from ..limbs import Limb, find_limbs
from ..loop import Cycle
from ..stretch import (
    Gap,
    Stretch,
    find_gaps,
    find_stretches,
    goal_of,
    is_elastic,
    longer,
    stretches_always,
)
from .contract import CheckInfo
from .overreach_words import gap_says, gap_suggestion, habit_text, stretch_says, stretch_suggestion

# A limb that is known on fewer samples than this share of them is not asked.
KNOWN = 0.5

INFO = CheckInfo(
    name="overreach",
    question="Does a leg or an arm stretch, or its goal leave it, beyond its reach?",
    definition=(
        "Both bones of a limb together are longer than at rest (than in most of the shot, where "
        "that is more), by more than can be overlooked and by six times the median of what the "
        "shot's frames are off the median, and by 4.8 times what the noise of its joints makes of "
        "it (the standard deviation that fourth differences tell, most where it is bent). Or the "
        "hand or foot stays behind the target of its IK while the limb is straight (under 3 "
        "degrees); where the target belongs is told by the frames on which the limb is bent (over "
        "6 degrees). A rig whose limbs are longer for more than half of the shot has that as its "
        "style."
    ),
    unit="% or cm",
    limit="2 % of the limb's length; .6 % of the height from the target (1 cm at 1.7 m)",
    limit_in_full=(
        "2 % of the limb's length; .6 % of the height from the target (1 cm at 1.7 m); four or "
        "more of a pair of limbs, each within 1.5 times the middle one, are one finding"
    ),
    source="common practice, no source; lengths and targets are read from the rig",
    stages=("spline", "polish"),
    mend="Bring the control nearer, lower the hips, or lean the body after it.",
    asked_of="points",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each stretch (on shin or forearm) and for each gap (on foot or hand)."""
    limbs = [limb for limb in find_limbs(basis) if limb.known.mean() >= KNOWN]
    elastic = [limb for limb in limbs if is_elastic(limb)]
    pulled = [limb for limb in limbs if _has_goal(basis, limb)]
    if not elastic and not pulled:
        return Evidence("overreach", skipped=_why(limbs))
    factor = basis.settings.factor("overreach")
    gaps = [gap for limb in pulled for gap in find_gaps(basis, limb, _end(limb), factor)]
    stretches = [each for limb in elastic for each in find_stretches(limb, factor)]
    events = [_gap_event(basis, gap) for gap in gaps]
    events += [_stretch_event(basis, each) for each in stretches]
    told = [event for event in events if not _is_declared(basis, event)]
    always = [limb for limb in elastic if stretches_always(limb)]
    return Evidence(
        "overreach",
        tuple(told),
        good="" if events or always else _good(elastic, pulled),
        habit=habit_text(always),
        measures=_measures(elastic),
    )


def _end(limb: Limb) -> str:
    return f"{'foot' if limb.joint == 'knee' else 'hand'}.{limb.side}"


def _has_goal(basis: Basis, limb: Limb) -> bool:
    control = basis.clip.meta.targets.get(_end(limb))
    return control is not None and goal_of(basis, limb, control) is not None


def _why(limbs: list[Limb]) -> str:
    if not limbs:
        return "no leg and no arm is known with its three joints"
    return "no limb changes its length, and the clip holds no IK target of a bent one"


def _is_declared(basis: Basis, event: RawEvent) -> bool:
    return event.body is not None and is_declared(basis, event.body, event.first, event.last)


def _stretch_event(basis: Basis, each: Stretch) -> RawEvent:
    return RawEvent(
        check="overreach",
        body=each.limb.lower,
        first=each.first,
        last=each.last,
        peak=each.peak,
        amount=100.0 * each.share,
        limit=100.0 * each.limit,
        unit="%",
        visible_m=each.metres,
        step_m=0.0,
        says=stretch_says(basis, each),
        suggestion=stretch_suggestion(basis, each),
    )


def _gap_event(basis: Basis, gap: Gap) -> RawEvent:
    return RawEvent(
        check="overreach",
        body=gap.limb.end,
        first=gap.first,
        last=gap.last,
        peak=gap.peak,
        amount=basis.amount(gap.metres),
        limit=basis.amount(gap.limit),
        unit=basis.unit,
        visible_m=gap.metres,
        step_m=0.0,
        says=gap_says(basis, gap),
        suggestion=gap_suggestion(basis, gap),
    )


def _good(elastic: list[Limb], pulled: list[Limb]) -> str:
    parts = []
    if pulled:
        parts.append("Every hand and foot reaches the target of its IK")
    if elastic:
        most = max(0.0, *(float(longer(limb).max()) for limb in elastic))
        parts.append(f"no limb stretches by more than {100.0 * most:.1f} %")
    text = ", and ".join(parts)
    return f"{text[:1].upper()}{text[1:]}."


def _measures(elastic: list[Limb]) -> dict[str, float]:
    """By how much each limb that stretches does so at most."""
    found: dict[str, float] = {}
    for limb in elastic:
        kind, side = "leg" if limb.joint == "knee" else "arm", "left"
        side = side if limb.side == "L" else "right"
        found[f"{kind}_{side}_stretch_pct"] = 100.0 * max(float(longer(limb).max()), 0.0)
    return found
