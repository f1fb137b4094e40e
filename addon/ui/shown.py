# SPDX-License-Identifier: GPL-3.0-or-later
"""Puts the answers of a check into the session, for the panels to read."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import bpy

from ...analysis import PlumblineError, Shot
from ...analysis.finding import Finding
from ...analysis.list_order import group_of, places_by_size
from ...analysis.pass_words import fixed_text, passes_text, since_text, verdict_text
from ...analysis.passes import Outcome, Said
from ...analysis.summary import MOST_LOOKS
from ...analysis.words import capital, frame_text, sentence_start
from ..record.recall import quieted
from ..record.shots import said_of, unread_of
from ..sphere import arcs_rows
from . import last_check
from .folding import leaders_of
from .last_check import LastCheck
from .listed import note_listed

CLICK = "Click to read it below the list; its frame number leads there."
# What was true before the last edit, and is looked for again.
WAS = "Was: {}"
# Frames between a line that is gone and one of its part that is read instead.
_NEAR = 12
NOTES = ("style", "looks", "good", "skipped", "fixed", "not_told", "intended")


@dataclass(frozen=True)
class _Read:
    """The line that is read: the finding's id, its part and its frame."""

    finding: str
    part: str
    frame: float


_NOTHING_READ = _Read("", "", 0.0)


def show_check(session: Any, check: LastCheck) -> None:
    """Show the answers of a check, by what is said of them now; what is read stays read, and what
    is unfolded stays so, where it is still found."""
    read, unfolded = _read(session), {line.finding for line in session.findings if line.open}
    clear_lines(session)
    said, session.unread = said_about(check)
    check = settled(check, said)
    last_check.show(check)
    session.scene_uid = str(check.scene_uid)
    _fill_all(session, check.examination.shot, said, check.outcome, check.told, check.was)
    session.explained = check.explained
    arcs_rows.fill(session.arcs, check)
    for line in session.findings:
        line.open = line.open or line.finding in unfolded
    _read_again(session, read)


def show_shot(session: Any, scene: bpy.types.Scene, shot: Shot, said: Said) -> None:
    """Show answers that were not measured here but read: there is no motion to draw or to ask."""
    read = _read(session)
    clear_lines(session)
    session.scene_uid = str(scene.session_uid)
    _fill_all(session, shot, said, None, (), {})
    _read_again(session, read)


def _fill_all(
    session: Any,
    shot: Shot,
    said: Said,
    outcome: Outcome | None,
    told: Sequence[str],
    was: Mapping[str, Finding],
) -> None:
    for finding, place in zip(shot.findings, places_by_size(shot.findings), strict=True):
        _fill(session.findings.add(), finding, place)
    _fill_from_passes(session, shot, outcome, said)
    for notes, sentences in (
        (session.style, shot.style),
        (session.looks, [look.says for look in shot.looks[:MOST_LOOKS]]),
        (session.good, shot.good_briefly),
        (session.skipped, [*_reasons(shot), *told, *shot.notices]),
    ):
        for sentence in sentences:
            notes.add().says = sentence
    note_listed()
    session.headline = headline_text(shot)
    session.unjudged = shot.is_unjudged
    fold(session, shot, was)


def said_about(check: LastCheck) -> tuple[Said, str]:
    """What is said of a check's rig, and why that cannot be read, as a sentence or empty."""
    scene = next((each for each in bpy.data.scenes if each.session_uid == check.scene_uid), None)
    rig = None if scene is None else check.rig_in(scene)
    if scene is None or rig is None:
        return Said(), ""
    try:
        return said_of(scene, rig), unread_of(scene, rig)
    except PlumblineError as error:
        return Said(), sentence_start(str(error))


def settled(check: LastCheck, said: Said) -> LastCheck:
    """A check with what is kept as intended now."""
    woken = () if check.outcome is None else check.outcome.woken
    shot = quieted(check.examination.shot, said, woken)
    return replace(check, examination=replace(check.examination, shot=shot))


def show_problem(session: Any, scene: bpy.types.Scene, sentence: str) -> None:
    """Show why a check could not be made, and nothing else."""
    clear_lines(session)
    session.scene_uid = str(scene.session_uid)
    session.problem = sentence_start(sentence)


def clear_lines(session: Any) -> None:
    """Show no answers; none is forgotten."""
    last_check.show(None)
    for rows in (session.arcs.rows, *(getattr(session, name) for name in ("findings", *NOTES))):
        rows.clear()
    session.active, session.headline, session.problem, session.scene_uid = 0, "", "", ""
    session.passes = session.unread = ""
    session.unjudged = session.explained = session.folding = False
    session.progress = -1.0


def fold(session: Any, shot: Shot, was: Mapping[str, Finding] | None = None) -> None:
    """Fold lines under those whose cause they go with; raises ValueError for other findings.

    was  by ids, findings as they stood when their causes were known: what is looked for again stays
         where it was, and what is told of before says so
    """
    lines, was = session.findings, was or {}
    for line in lines:
        line.folds = 0
    leaders = leaders_of(as_known(shot.findings, was))
    for line, finding, leader in zip(lines, shot.findings, leaders, strict=True):
        line.leader = leader
        line.mend = finding.suggestion.text if finding.suggestion else ""
        before = was[finding.id].suggestion if finding.id in was else None
        line.past = not line.mend and before is not None
        if line.past and before is not None:
            line.mend = WAS.format(before.text)
        if leader >= 0:
            lines[leader].folds += 1
    session.folding = any(line.folds for line in lines)
    if 0 <= session.active < len(lines) and lines[session.active].leader >= 0:
        lines[lines[session.active].leader].open = True  # what is read stays in sight


def as_known(findings: Sequence[Finding], was: Mapping[str, Finding]) -> tuple[Finding, ...]:
    """Findings, where their causes are looked for again as they stood when these were known."""
    return tuple(was.get(each.id, each) for each in findings)


def headline_text(shot: Shot) -> str:
    """Which rig, which frames, and what the check comes to."""
    first, last = (frame_text(frame) for frame in shot.frames)
    loop = ", loop" if shot.cycle else ""
    return f"{shot.rig}, frames {first} to {last}{loop}: {verdict_text(shot)}."


def _read(session: Any) -> _Read | None:
    """What is read; None where there is nothing to be read."""
    at, lines = session.active, session.findings
    if not lines:
        return None
    line = lines[at] if 0 <= at < len(lines) else None
    return _NOTHING_READ if line is None else _Read(line.finding, _part_of(line), line.frame)


def _read_again(session: Any, read: _Read | None) -> None:
    """Read what was read. Under Watch what is gone leads nowhere else than to what its part has
    near: whoever has just mended it goes on looking there."""
    lines = session.findings
    found = next((n for n, each in enumerate(lines) if read and each.finding == read.finding), None)
    if found is None and read is not None and session.watch:
        near = [
            (abs(each.frame - read.frame), n)
            for n, each in enumerate(lines)
            if _part_of(each) == read.part and abs(each.frame - read.frame) <= _NEAR
        ]
        found = min(near)[1] if near else -1
    session.active = 0 if found is None else found


def _part_of(line: Any) -> str:
    return str(line.title).partition(":")[0]


def _fill(line: Any, finding: Finding, place: int) -> None:
    line.finding, line.place, line.group = finding.id, place, group_of(finding)
    line.says, line.title = finding.says, finding.title
    line.tip = f"{finding.title}: {finding.says} {CLICK}"
    line.mend = finding.suggestion.text if finding.suggestion else ""
    line.frame, line.frame_text = finding.peak_frame, frame_text(finding.peak_frame)
    line.major = finding.severity == "major"


def _fill_from_passes(session: Any, shot: Shot, outcome: Outcome | None, said: Said) -> None:
    """What has changed since the pass before, and what is kept as intended."""
    woken = () if outcome is None else outcome.woken
    loud = {each.finding.id: each for each in said.intended if each in woken}
    if outcome is not None:
        session.passes = passes_text(outcome, len(loud))
        for kept in outcome.fixed:
            session.fixed.add().says = fixed_text(kept)
        for kept in outcome.not_told:
            session.not_told.add().says = fixed_text(kept)
    frames = {}
    for line, finding in zip(session.findings, shot.findings, strict=True):
        frames[finding.id] = line.frame
        line.reason = finding.intended or ""
        if outcome is not None:
            line.state = outcome.states.get(finding.id, "")
            was = None if finding.id in outcome.rescaled else outcome.was.get(finding.id)
            line.since = since_text(
                finding,
                line.state,
                was,
                loud.get(finding.id),
                clock=outcome.clock,
                part_of=outcome.part_of.get(finding.id),
            )
        line.woken = finding.id in loud
    for each in said.intended:
        item = session.intended.add()
        item.finding, item.reason, item.title = each.finding.id, each.reason, each.finding.title
        item.frame = frames.get(each.finding.id, each.finding.frame)
        item.state = _kept_state(item.finding, frames, loud)


def _kept_state(finding: str, frames: Mapping[str, float], loud: Mapping[str, Any]) -> str:
    if finding in loud:
        return "woken"
    return "quiet" if finding in frames else "gone"


def _reasons(shot: Shot) -> list[str]:
    """A sentence for each reason why checks were not judged."""
    return [
        f"{capital(', '.join(checks).replace('_', ' '))}: {why}."
        for why, checks in shot.reasons.items()
    ]
