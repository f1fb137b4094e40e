# SPDX-License-Identifier: GPL-3.0-or-later
"""Which of the suspects made each finding, by what the shot would be without them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..basis import Basis, build_basis
from ..cause import Cause
from ..finding import Finding, Shot
from ..parts import limb_of
from ..pipeline import Examination, findings_of
from ..trials import Posed, Trial, patched
from .advice import with_advice
from .asking import ASKED, Plan, Suspect
from .candidates import LEAST_EXPLAINED
from .joints import joint_repairs
from .places import Place, explained
from .words import cause_of, joint_cause, no_single_key

# Findings whose frames lie this near are of one moment.
NEAR_FRAMES = 3.0
# A finding that a repair takes this much of is cleared by it.
CLEARED = 0.9
# What a suspect is believed that the rig was not asked about.
UNASKED = 0.3
LEAST_SHARE = 0.02


@dataclass(frozen=True, eq=False)
class Outcome:
    """The shot with one repair made: its basis, and the findings that it has then."""

    basis: Basis
    findings: tuple[Finding, ...]


def find_causes(examination: Examination, plan: Plan, answers: Sequence[Posed | None]) -> Shot:
    """The shot with the causes of its findings.

    answers   one for each of the plan's trials; None for what was not, or could not be, posed
    """
    outcomes = [
        None if each is None else outcome_of(examination, trial, each)
        for trial, each in zip(plan.trials, answers, strict=True)
    ]
    return weigh(examination, plan, outcomes)


def outcome_of(examination: Examination, trial: Trial, posed: Posed) -> Outcome:
    """All that was found before, looked for again where a trial is answered."""
    basis, shot = examination.basis, examination.shot
    named = {f.check for f in shot.findings} | {c for f in shot.findings for c, _ in f.also}
    settings = replace(basis.settings, checks=tuple(sorted(named)))
    clip = patched(basis.clip, trial, posed)
    return Outcome(build_basis(clip, settings), findings_of(clip, settings))


def weigh(examination: Examination, plan: Plan, outcomes: Sequence[Outcome | None]) -> Shot:
    """`find_causes` with the outcomes of the plan's trials."""
    told = [
        _told(examination, place, suspects, outcomes)
        if suspects
        else _told_by_joints(examination, place)
        for place, suspects in plan.places
    ]
    return replace(examination.shot, findings=_folded(examination.shot.findings, told))


@dataclass(frozen=True, eq=False)
class _Told:
    """A finding's causes, and what goes with the first one."""

    causes: tuple[Cause, ...]
    clears: tuple[str, ...]


def _told(
    examination: Examination,
    place: Place,
    suspects: Sequence[Suspect],
    outcomes: Sequence[Outcome | None],
) -> _Told:
    judged = [_weigh(examination, place, each, outcomes) for each in suspects]
    weights = np.array([likely for _drop, likely in judged])
    gone = max((drop for drop, _likely in judged), default=0.0)
    if not suspects or weights.sum() <= 0.0:
        return _Told((no_single_key(1.0),), ())
    order = [n for n in np.argsort(-weights) if weights[n] > 0.0]
    shares = gone * weights / weights.sum()
    kept = [n for n in order if shares[n] >= LEAST_SHARE] or order[:1]
    causes = [
        cause_of(examination.basis, place, suspects[n].candidate, float(shares[n])) for n in kept
    ]
    rest = 1.0 - sum(cause.share for cause in causes)
    if rest >= LEAST_SHARE:
        causes.append(no_single_key(rest))
    first = suspects[kept[0]].trial
    outcome = None if first is None else outcomes[first]
    return _Told(tuple(causes), _cleared(examination, place, outcome))


def _told_by_joints(examination: Examination, place: Place) -> _Told:
    """The causes where no curve drives the part: joints whose own motion breaks."""
    basis = examination.basis
    found: list[tuple[float, Cause, Outcome]] = []
    around = place.around(len(basis.frames))
    for body, channel, posed in joint_repairs(basis, place):
        outcome = outcome_of(examination, _no_channels(posed), posed)
        before, after = (each.marks[around][:, :, :2] for each in (basis, outcome.basis))
        drop = _drop(place.finding, outcome.findings)
        likely = drop * explained(basis, place, before, after)
        if likely > 0.0:
            found.append((likely, joint_cause(basis, place, body, channel, drop), outcome))
    if not found:
        return _Told((no_single_key(1.0),), ())
    found.sort(key=lambda each: -each[0])
    total, most = sum(each[0] for each in found), max(each[1].share for each in found)
    causes = [replace(c, share=most * likely / total) for likely, c, _o in found[:ASKED]]
    rest = 1.0 - sum(cause.share for cause in causes)
    if rest >= LEAST_SHARE:
        causes.append(no_single_key(rest))
    return _Told(tuple(causes), _cleared(examination, place, found[0][2]))


def _no_channels(posed: Posed) -> Trial:
    return Trial(posed.samples, (), np.zeros((len(posed.samples), 0)))


def _weigh(
    examination: Examination, place: Place, suspect: Suspect, outcomes: Sequence[Outcome | None]
) -> tuple[float, float]:
    """How much of the finding goes with a repair made, and how likely its key made it."""
    outcome = None if suspect.trial is None else outcomes[suspect.trial]
    candidate = suspect.candidate
    if outcome is None:
        return min(UNASKED, candidate.foretold), candidate.weight
    basis = examination.basis
    around = place.around(len(basis.frames))
    before, after = (each.marks[around][:, :, :2] for each in (basis, outcome.basis))
    gone = explained(basis, place, before, after)
    drop = _drop(place.finding, outcome.findings)
    return drop, candidate.odd * (LEAST_EXPLAINED + max(gone, drop))


def _drop(finding: Finding, after: Sequence[Finding]) -> float:
    """The share of a finding's amount that is gone."""
    left = [each.amount for each in after if is_same(finding, each)]
    return 1.0 - min(max(left, default=0.0) / max(finding.amount, 1e-9), 1.0)


def is_same(finding: Finding, other: Finding) -> bool:
    """Whether another pass's finding is the same: the check, the moment, the part or its limb."""
    near = (
        other.frames[0] <= finding.frames[1] + NEAR_FRAMES
        and finding.frames[0] - NEAR_FRAMES <= other.frames[1]
    )
    parts = {finding.part, other.part}
    alike = len(parts) == 1 or None in parts or parts <= set(limb_of(finding.part or ""))
    return near and alike and other.check == finding.check


def _cleared(examination: Examination, place: Place, outcome: Outcome | None) -> tuple[str, ...]:
    """Ids of the other findings that are gone with a repair made."""
    if outcome is None or _drop(place.finding, outcome.findings) < CLEARED:
        return ()
    return tuple(
        each.id
        for each in examination.shot.findings
        if each.id != place.finding.id and _drop(each, outcome.findings) >= CLEARED
    )


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
