# SPDX-License-Identifier: GPL-3.0-or-later
"""Passes while answers are watched: told against the check that was pressed last, kept as latest.

Whoever polishes wants to know what has become of what Check said when it was pressed: so what is
new, back or fixed counts from there, however many updates have come between, and a check that is
pressed later counts from there too. Ids go on from the update before, or those of findings that
came with one would change with each. The latest record is the one that is saved.
"""

from collections.abc import Callable
from dataclasses import replace

import bpy

from ...analysis import PlumblineError
from ...analysis.passes import Outcome, Pass, Said, next_pass
from ...analysis.pipeline import Examination
from ..record.shots import keep_pass, pass_before, said_of, unread_of

# By the numbers of scene and rig: the pass that updates are told against, and the latest record,
# which must be the one that is kept, or another check, file or report has come between.
_told_against: dict[tuple[int, int], tuple[Pass | None, Pass]] = {}


def outcome_of(
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    examination: Examination,
    tell: Callable[[str], None],
    *,
    watched: bool,
) -> Outcome:
    """An examination beside the pass that it is told against and what was said; it is kept.

    tell     hears why the record cannot be read: then it is a first pass
    watched  whether an update made it, and not a press
    """
    numbers, said = (scene.session_uid, rig.session_uid), Said()
    base = latest = None
    try:
        said = said_of(scene, rig)
        if unread := unread_of(scene, rig):
            tell(unread)
        latest = pass_before(scene, rig)  # where it cannot be read, what was said still counts
        base = _base(numbers, latest)
    except PlumblineError as error:
        tell(str(error))
    outcome = next_pass(examination, base, said)
    if watched and latest is not None and latest is not base and _has_others(outcome):
        motion = outcome.record.motion
        beside = next_pass(examination, latest, said, motion=motion)
        outcome = next_pass(_with_ids(examination, beside), base, said, motion=motion)
    keep_pass(scene, rig, outcome.record)
    if watched:
        _told_against[numbers] = base, outcome.record
    else:
        _told_against.pop(numbers, None)
    return outcome


def _base(numbers: tuple[int, int], latest: Pass | None) -> Pass | None:
    base, record = _told_against.get(numbers, (latest, latest))
    return base if record is latest else latest


def _has_others(outcome: Outcome) -> bool:
    """Whether any finding was not there in the pass that it is told against."""
    return any(finding.id not in outcome.was for finding in outcome.shot.findings)


def _with_ids(examination: Examination, beside: Outcome) -> Examination:
    """The findings under the ids that they have beside another pass, in the same order."""
    shot = examination.shot
    pairs = zip(shot.findings, beside.shot.findings, strict=True)
    findings = tuple(replace(finding, id=named.id) for finding, named in pairs)
    return replace(examination, shot=replace(shot, findings=findings))


def forget() -> None:
    """Forget what updates were told against."""
    _told_against.clear()
