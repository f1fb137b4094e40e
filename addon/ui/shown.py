# SPDX-License-Identifier: GPL-3.0-or-later
"""Puts the answers of a check into the session, for the panels to read."""

from typing import Any

import bpy

from ...analysis import Shot
from ...analysis.finding import Finding
from ...analysis.list_order import group_of, places_by_size
from ...analysis.summary import MOST_LOOKS
from ...analysis.words import capital, count_text, frame_text
from . import last_check
from .folding import leaders_of
from .last_check import LastCheck

NOTES = ("style", "looks", "good", "skipped")


def show_check(session: Any, check: LastCheck) -> None:
    """Show the answers of a check; what is read stays read, where it is still found."""
    read = _read(session)
    clear_lines(session)
    last_check.show(check)
    shot = check.examination.shot
    session.scene_uid = str(check.scene_uid)
    for finding, place in zip(shot.findings, places_by_size(shot.findings), strict=True):
        _fill(session.findings.add(), finding, place)
    for notes, sentences in (
        (session.style, shot.style),
        (session.looks, [look.says for look in shot.looks[:MOST_LOOKS]]),
        (session.good, shot.good_briefly),
        (session.skipped, [*_reasons(shot), *check.told, *shot.notices]),
    ):
        for sentence in sentences:
            notes.add().says = sentence
    session.headline = headline_text(shot)
    session.unjudged = shot.is_unjudged
    session.explained = check.explained
    session.active = next((n for n, line in enumerate(session.findings) if line.finding == read), 0)
    fold(session, shot)


def show_problem(session: Any, scene: bpy.types.Scene, sentence: str) -> None:
    """Show why a check could not be made, and nothing else."""
    clear_lines(session)
    session.scene_uid = str(scene.session_uid)
    session.problem = capital(sentence)


def clear_lines(session: Any) -> None:
    """Show no answers; none is forgotten."""
    last_check.show(None)
    for name in ("findings", *NOTES):
        getattr(session, name).clear()
    session.active, session.headline, session.problem, session.scene_uid = 0, "", "", ""
    session.unjudged = session.explained = session.folding = False
    session.progress = -1.0


def fold(session: Any, shot: Shot) -> None:
    """Fold lines under those whose cause they go with; raises ValueError for other findings."""
    lines = session.findings
    for line in lines:
        line.folds = 0
    for line, finding, leader in zip(lines, shot.findings, leaders_of(shot.findings), strict=True):
        line.leader = leader
        line.mend = finding.suggestion.text if finding.suggestion else ""
        if leader >= 0:
            lines[leader].folds += 1
    session.folding = any(line.folds for line in lines)
    if 0 <= session.active < len(lines) and lines[session.active].leader >= 0:
        lines[lines[session.active].leader].open = True  # what is read stays in sight


def headline_text(shot: Shot) -> str:
    """Which rig, which frames, and what the check comes to."""
    first, last = (frame_text(frame) for frame in shot.frames)
    loop = ", loop" if shot.cycle else ""
    return f"{shot.rig}, frames {first} to {last}{loop}: {verdict_text(shot)}."


def verdict_text(shot: Shot) -> str:
    """What a check comes to, in a few words; silence is not called good."""
    if shot.findings:
        major = sum(1 for finding in shot.findings if finding.severity == "major")
        return _findings_text(len(shot.findings), major)
    if shot.is_unjudged:
        return "nothing could be judged"
    asked = f", {count_text(len(shot.skipped), 'check')} not judged" if shot.skipped else ""
    return f"nothing to mend{asked}"


def _findings_text(count: int, major: int) -> str:
    """`1 major finding`, `5 findings, all major`, `5 findings, 2 major`, `2 minor findings`."""
    if major in (0, count):
        kind = "major" if major else "minor"
        return count_text(count, f"{kind} finding")
    return f"{count_text(count, 'finding')}, {major} major"


def _read(session: Any) -> str:
    """The id of the finding that is read, or empty."""
    at = session.active
    return str(session.findings[at].finding) if 0 <= at < len(session.findings) else ""


def _fill(line: Any, finding: Finding, place: int) -> None:
    line.finding, line.place, line.group = finding.id, place, group_of(finding)
    line.says, line.title = finding.says, finding.title
    line.mend = finding.suggestion.text if finding.suggestion else ""
    line.frame, line.frame_text = finding.peak_frame, frame_text(finding.peak_frame)
    line.major = finding.severity == "major"


def _reasons(shot: Shot) -> list[str]:
    """A sentence for each reason why checks were not judged."""
    return [
        f"{capital(', '.join(checks).replace('_', ' '))}: {why}."
        for why, checks in shot.reasons.items()
    ]
