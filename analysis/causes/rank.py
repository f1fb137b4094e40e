# SPDX-License-Identifier: GPL-3.0-or-later
"""Which of the suspects made each finding, by what the shot would be without them.

Where the user asks without a finding, what counts is how much of the part's jerk goes.
"""

from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..cause import Cause
from ..finding import Finding, Shot
from ..in_steps import at_once, saying
from ..pipeline import Examination
from ..trials import Posed
from .advice import with_advice
from .again import Outcome, comes_back, outcome_of, share_gone
from .asking import ASKED, Plan, Suspect
from .joints import JudgedJoint, is_of_one, joint_repairs, judged_joint
from .places import OF_NO_KEY, Place, names
from .tried import spoiling, spoils, takes
from .weights import weighed
from .words import cause_of, no_single_joint, no_single_key

# A finding that a repair takes this much of is cleared by it.
CLEARED = 0.9
# What is believed at least of a key that the finding names, where mending none takes as much: its
# curve was read.
NAMED_SHARE, NAMED_LEAST = 0.5, 1e-9
LEAST_SHARE = 0.02
# Where one joint takes so much of a finding, no other has to turn with it.
LEAST_ALONE = 0.5


def find_causes(examination: Examination, plan: Plan, answers: Sequence[Posed | None]) -> Shot:
    """The shot with the causes of its findings.

    answers   one for each of the plan's trials; None for what was not, or could not be, posed
    """
    outcomes = [
        None if each is None else outcome_of(examination, trial, each)
        for trial, each in zip(plan.trials, answers, strict=True)
    ]
    return weigh(examination, plan, outcomes)


def weigh(examination: Examination, plan: Plan, outcomes: Sequence[Outcome | None]) -> Shot:
    """`find_causes` with the outcomes of the plan's trials."""
    return _with_causes(examination, _told_of_all(examination, plan, outcomes))


def weighing(
    examination: Examination, plan: Plan, outcomes: Sequence[Outcome | None]
) -> Iterator[int | Shot]:
    """`weigh` in steps: how many findings are told so far, the shot at last.

    Where no curve drives a part, the shot is checked again for each joint that may have made its
    finding: a step each.
    """
    told = yield from _telling(examination, plan, outcomes)
    yield _with_causes(examination, told)


def causes_of_places(
    examination: Examination, plan: Plan, outcomes: Sequence[Outcome | None]
) -> tuple[tuple[Cause, ...], ...]:
    """Of each of the plan's places the causes, the largest share first; shares add up to one."""
    return tuple(told.causes for told in _told_of_all(examination, plan, outcomes))


@dataclass(frozen=True, eq=False)
class _Told:
    """A finding's causes, what goes with the first one, and the suspect that it was."""

    causes: tuple[Cause, ...]
    clears: tuple[str, ...]
    first: Suspect | None = None


def _with_causes(examination: Examination, told: list[_Told]) -> Shot:
    return replace(examination.shot, findings=_folded(examination.shot.findings, told))


def _told_of_all(
    examination: Examination, plan: Plan, outcomes: Sequence[Outcome | None]
) -> list[_Told]:
    return at_once(_telling(examination, plan, outcomes))


def _telling(
    examination: Examination, plan: Plan, outcomes: Sequence[Outcome | None]
) -> Generator[int, None, list[_Told]]:
    """How many places are told so far, after each joint that was judged, each check of a mend."""
    told: list[_Told] = []
    for place, suspects in plan.places:
        if place.finding is not None and place.finding.check in OF_NO_KEY:
            told.append(_Told((), ()))
        elif suspects:
            causes = _told(examination, plan, place, suspects, outcomes)
            told.append(
                (yield from saying(_tried(examination, place, causes, outcomes), len(told)))
            )
        else:
            found: list[JudgedJoint] = []
            for repair in joint_repairs(examination.basis, place):
                of_one = [cause.share for _likely, cause, _outcome in found]
                if is_of_one(repair) or max(of_one, default=0.0) < LEAST_ALONE:
                    found += judged_joint(examination, plan.found, place, repair)
                yield len(told)
            told.append(_told_by_joints(examination, plan, place, found))
    return told


def _told(
    examination: Examination,
    plan: Plan,
    place: Place,
    suspects: Sequence[Suspect],
    outcomes: Sequence[Outcome | None],
) -> _Told:
    judged = weighed(examination, plan, place, suspects, outcomes)
    weights = np.array([likely for _drop, likely in judged])
    gone = max((drop for drop, _likely in judged), default=0.0)
    named = [n for n, each in enumerate(suspects) if _is_named(place, each)]
    if named and gone < NAMED_SHARE:
        weights[named[0]] = max(weights.sum(), NAMED_LEAST)
        gone = NAMED_SHARE
    if not suspects or weights.sum() <= 0.0:
        return _Told((no_single_key(1.0),), ())
    order = [n for n in np.argsort(-weights) if weights[n] > 0.0]
    shares = gone * weights / weights.sum()
    kept = [n for n in order if shares[n] >= LEAST_SHARE]
    if not kept:
        return _Told((no_single_key(1.0),), ())
    causes = [
        replace(
            cause_of(examination.basis, place, suspects[n].candidate, float(shares[n])),
            takes=takes(examination.basis, place, suspects[n], judged[n][0], outcomes),
            spoils=spoils(plan, suspects[n], outcomes),
        )
        for n in kept
    ]
    first = suspects[kept[0]]
    outcome = None if first.trial is None else outcomes[first.trial]
    return _Told(_whole(causes), _cleared(examination, plan, place, outcome), first)


def _is_named(place: Place, suspect: Suspect) -> bool:
    """Whether the finding tells that very mend of that very key."""
    repair = suspect.candidate.repair
    return names(place, repair.group, repair.frame, repair.kind)


def _tried(
    examination: Examination, place: Place, told: _Told, outcomes: Sequence[Outcome | None]
) -> Generator[None, None, _Told]:
    """The same, its first cause's mend tried by all checks before it is offered."""
    if place.finding is None or told.first is None or not told.causes[0].is_mended:
        return told
    worse = yield from spoiling(examination, told.first, outcomes)
    return replace(told, causes=(replace(told.causes[0], spoils=worse), *told.causes[1:]))


def _whole(
    causes: Sequence[Cause], rest: Callable[[float], Cause] = no_single_key
) -> tuple[Cause, ...]:
    """The causes with what they leave, so that their shares add up to one; too little to tell goes
    to them."""
    told = sum(cause.share for cause in causes)
    if 1.0 - told >= LEAST_SHARE:
        return (*causes, rest(1.0 - told))
    return tuple(replace(cause, share=cause.share / told) for cause in causes)


def _told_by_joints(
    examination: Examination, plan: Plan, place: Place, found: list[JudgedJoint]
) -> _Told:
    """The causes where no curve drives the part: joints whose own motion breaks."""
    if not found:
        return _Told((no_single_joint(1.0),), ())
    found.sort(key=lambda each: -each[0])
    total, most = sum(each[0] for each in found), max(each[1].share for each in found)
    told = [replace(c, share=most * likely / total) for likely, c, _o in found[:ASKED]]
    causes = [cause for cause in told if cause.share >= LEAST_SHARE]
    if not causes:
        return _Told((no_single_joint(1.0),), ())
    return _Told(_whole(causes, no_single_joint), _cleared(examination, plan, place, found[0][2]))


def _cleared(
    examination: Examination, plan: Plan, place: Place, outcome: Outcome | None
) -> tuple[str, ...]:
    """Ids of the other findings that are gone with a repair made."""
    if outcome is None or place.finding is None:
        return ()
    gone = [
        each.id
        for each in examination.shot.findings
        if (share_gone(each, plan.found, outcome.findings) or 0.0) >= CLEARED
        and not comes_back(each, outcome.findings)
    ]
    return tuple(i for i in gone if i != place.finding.id) if place.finding.id in gone else ()


def _folded(findings: Sequence[Finding], told: Sequence[_Told]) -> tuple[Finding, ...]:
    """Causes put to their findings; what goes with another's cause is folded under it.

    A finding leads where its first cause clears most; of two with one cause, the first in fixing
    order.
    """
    known = {f.id: each for f, each in zip(findings, told, strict=True)}
    after: dict[str, str] = {}
    place = {f.id: n for n, f in enumerate(findings)}
    for finding in sorted(findings, key=lambda f: (-len(known[f.id].clears), place[f.id])):
        if finding.id in after:
            continue
        for each in known[finding.id].clears:
            if each not in after and each not in after.values():
                after[each] = finding.id
    return tuple(
        with_advice(
            replace(
                finding,
                causes=known[finding.id].causes,
                clears=known[finding.id].clears,
                after=after.get(finding.id),
            )
        )
        for finding in findings
    )
