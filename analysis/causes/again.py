# SPDX-License-Identifier: GPL-3.0-or-later
"""A shot checked again with a repair made, by the checks that found something before."""

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace

from ..basis import Basis, build_basis
from ..finding import Finding
from ..in_steps import at_once
from ..parts import limb_of
from ..pipeline import Examination, findings_in_steps, findings_of
from ..settings import Settings
from ..trials import Posed, Trial, patched

# Findings whose frames lie this near are of one moment.
NEAR_FRAMES = 3.0
# A finding with so many times its amount is worse.
WORSE = 1.25


@dataclass(frozen=True, eq=False)
class Outcome:
    """The shot with one repair made: its basis, and the findings that it has then."""

    basis: Basis
    findings: tuple[Finding, ...]


def outcome_of(examination: Examination, trial: Trial, posed: Posed) -> Outcome:
    """All that was found before, looked for again where a trial is answered."""
    return at_once(outcome_in_steps(examination, trial, posed))


def outcome_in_steps(
    examination: Examination, trial: Trial, posed: Posed
) -> Generator[None, None, Outcome]:
    """`outcome_of` with a pause after each check."""
    clip = patched(examination.basis.clip, trial, posed)
    settings = _settings(examination)
    basis = build_basis(clip, settings)
    if not settings.checks:
        return Outcome(basis, ())
    return Outcome(basis, (yield from findings_in_steps(clip, settings)))


def still_found(examination: Examination) -> tuple[Finding, ...]:
    """What those checks find without any repair. Another check may have told what one of them saw,
    so that this is not quite what all checks found together."""
    settings = _settings(examination)
    if settings.checks == examination.basis.settings.checks:
        return examination.shot.findings
    return findings_of(examination.basis.clip, settings) if settings.checks else ()


def share_gone(
    finding: Finding | None, before: Sequence[Finding], after: Sequence[Finding]
) -> float | None:
    """The share of a finding's amount that is gone; None where it is not found before either, and
    where there is none.

    Of two findings of one part within a few frames each is followed by itself: what is left is what
    lies nearer to it than to the other one. What another check's finding tells besides is still
    there, by how much is not known: then nothing is gone.
    """
    if finding is None:
        return None
    was = [each for each in before if is_same(finding, each)]
    if not was:
        return None
    own = _nearest(finding, was)
    left = [
        each.amount
        for each in after
        if is_same(finding, each)
        and _nearest(each, [*was, *(other for other in before if is_same(other, each))]) is own
    ]
    left += [own.amount for each in after if _tells_besides(each, finding)]
    return 1.0 - min(max(left, default=0.0) / max(own.amount, 1e-9), 1.0)


def _nearest(finding: Finding, others: Sequence[Finding]) -> Finding:
    """The one of others that shows most nearest to where a finding does; of its own part first."""
    return min(
        others,
        key=lambda each: (each.part != finding.part, abs(each.peak_frame - finding.peak_frame)),
    )


def comes_back(finding: Finding, after: Sequence[Finding]) -> bool:
    """Whether what a finding tells besides its own check is found by itself afterwards."""
    return any(_tells_besides(finding, other) for other in after)


def made_worse(before: Sequence[Finding], after: Sequence[Finding]) -> Finding | None:
    """The first major finding with a repair made that was not there before, or was much smaller."""
    for each in after:
        if each.severity != "major" or any(_tells_besides(was, each) for was in before):
            continue
        was = [other.amount for other in before if is_same(each, other)]
        if not was or each.amount > WORSE * max(was):
            return each
    return None


def is_same(finding: Finding, other: Finding) -> bool:
    """Whether another pass's finding is the same: the check, the moment, the part or its limb."""
    at_once = _at_once(finding, other)
    return at_once and _alike(finding.part, other.part) and other.check == finding.check


def _tells_besides(other: Finding, finding: Finding) -> bool:
    """Whether a finding of another check was made of this one's event too."""
    also = [part for check, part in other.also if check == finding.check]
    return _at_once(finding, other) and any(_alike(finding.part, part) for part in also)


def _at_once(finding: Finding, other: Finding) -> bool:
    return (
        other.frames[0] <= finding.frames[1] + NEAR_FRAMES
        and finding.frames[0] - NEAR_FRAMES <= other.frames[1]
    )


def _alike(part: str | None, other: str | None) -> bool:
    parts = {part, other}
    return len(parts) == 1 or None in parts or parts <= set(limb_of(part or ""))


def _settings(examination: Examination) -> Settings:
    shot = examination.shot
    named = {f.check for f in shot.findings} | {c for f in shot.findings for c, _ in f.also}
    return replace(examination.basis.settings, checks=tuple(sorted(named)))
