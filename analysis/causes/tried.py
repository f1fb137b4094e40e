# SPDX-License-Identifier: GPL-3.0-or-later
"""What a mend by itself does to the shot, by the trial that was made of it."""

from collections.abc import Generator, Sequence

from ..basis import Basis
from ..finding import Finding
from ..pipeline import Examination, findings_in_steps
from .again import Outcome, made_worse
from .asking import Plan, Suspect
from .places import DEAD, Place, reached, still_stands


def takes(
    basis: Basis,
    place: Place,
    suspect: Suspect,
    drop: float,
    outcomes: Sequence[Outcome | None],
) -> float | None:
    """How much of the finding goes with the key mended; None where that was not tried.

    A foot that hovers slips no more, and is not mended: what stands has to stand. Nor is a body
    that stood dead by a move just over the limit: it has to go where the finding asks it to.
    """
    outcome = None if suspect.trial is None else outcomes[suspect.trial]
    if outcome is None:
        return None
    if place.rests:
        return min(drop, still_stands(basis, outcome.basis, place))
    if place.finding is not None and place.finding.check in DEAD:
        return min(drop, reached(basis, outcome.basis, place))
    return drop


def spoils(plan: Plan, suspect: Suspect, outcomes: Sequence[Outcome | None]) -> str:
    """What a mend makes new or much worse; empty where it does not, or where that was not tried on
    all frames that it changes."""
    outcome = None if suspect.trial is None else outcomes[suspect.trial]
    if outcome is None or suspect.candidate.cut:
        return ""
    return _title(made_worse(plan.found, outcome.findings))


def spoiling(
    examination: Examination, suspect: Suspect, outcomes: Sequence[Outcome | None]
) -> Generator[None, None, str]:
    """The same by all checks of the shot, with a pause after each.

    Trials are checked by those alone that found something: enough to rank them, but what a mend
    makes elsewhere another check may tell.
    """
    outcome = None if suspect.trial is None else outcomes[suspect.trial]
    if outcome is None or suspect.candidate.cut:
        return ""
    after = yield from findings_in_steps(outcome.basis.clip, examination.basis.settings)
    return _title(made_worse(examination.shot.findings, after))


def _title(finding: Finding | None) -> str:
    return "" if finding is None else finding.title
