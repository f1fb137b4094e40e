# SPDX-License-Identifier: GPL-3.0-or-later
"""A pass beside the one before: ids that go on, what is new, back, fixed, and kept on purpose."""

from collections.abc import Mapping
from dataclasses import replace

from ..finding import Finding, Shot
from ..pipeline import Examination
from .align import time_map
from .besides import Besides
from .choices import asked_of, has_other_parts
from .identities import Known, recognised
from .kept import Intended, Motion, Outcome, Pass, Said, anchor_of, kept_of
from .left import MOST, Between, moved_to
from .motion import motion_of
from .quiet import Spot, has_changed
from .same import Same
from .times import TimeMap

NEW, BACK, UNCHANGED, TOLD_NOW = "new", "back", "unchanged", "told_now"


def next_pass(
    examination: Examination, before: Pass | None, said: Said, *, motion: Motion | None = None
) -> Outcome:
    """A pass beside the one before; changes nothing.

    before   the record of the last pass, or None in a first one
    said     what people declared: what they keep on purpose is quiet where its motion is as it was
    motion   of the examination, where it is known already: an outcome's record has it
    """
    first = before is None
    shot, motion = examination.shot, motion or motion_of(examination.basis)
    time = time_beside(examination, motion, before, said)
    before = before or Pass(rig=shot.rig, frames=shot.frames, fps=shot.fps)
    known = recognised(shot, before, said, time)
    spots = {each.finding.id: _spot(each, before, shot, time) for each in said.intended}
    findings, woken = _quieted(examination, known, said, spots)
    notes = [
        replace(note, frame=time.at(before.note_frames.get(note.id, note.frame)))
        for note in said.notes
    ]
    shot = replace(shot, findings=findings, notes=tuple(notes))
    basis, asked = examination.basis, asked_of(examination.basis)
    begins, parts = (before.frames[0], shot.frames[0]), has_other_parts(before.asked, asked)
    same = Same(before.motion, motion, time, begins, shot.fps, parts=parts)
    between = Between(shot, basis, before, asked, time, same)
    besides = Besides(before, known, time)
    left = between.left(known, besides)
    states = {each.id: _state(each, known, between) for each in findings}
    parts_of = {
        each.id: line
        for each in findings
        if states[each.id] in (NEW, BACK) and (line := besides.was_part_of(each)) is not None
    }
    states |= dict.fromkeys(parts_of, UNCHANGED)
    earlier = tuple(moved_to(each, time) for each in before.fixed if each.id not in known.back)
    record = Pass(
        rig=shot.rig,
        frames=shot.frames,
        fps=shot.fps,
        findings=tuple(replace(kept_of(e, shot), besides=e.besides) for e in findings),
        fixed=(*left.fixed, *earlier)[:MOST],
        unseen=left.unseen,
        note_frames={note.id: note.frame for note in notes},
        kept_frames={name: spot.frame for name, spot in spots.items()},
        factors={each.check: basis.settings.factor(each.check) for each in findings},
        asked=asked,
        motion=motion,
    )
    return Outcome(
        shot=shot,
        states={} if first else states,
        was=known.was,
        fixed=left.fixed,
        woken=woken,
        note_frames=record.note_frames,
        record=record,
        not_told=left.not_told,
        rescaled=frozenset(f.id for f in findings if f.id in known.was and between.is_rescaled(f)),
        clock="" if first else between.clock,
        part_of=parts_of,
    )


def time_beside(
    examination: Examination, motion: Motion, before: Pass | None, said: Said
) -> TimeMap:
    """Where the frames of the pass before are now: by its motion, else by the marks of findings
    and notes.

    motion   of the examination
    """
    cycle = examination.cycle
    loop = len(examination.basis.frames) - cycle.repeats if cycle.plays else 0
    there = () if before is None else (*before.findings, *before.unseen)
    anchors = [*there, *(each.finding for each in said.intended)]
    anchors += [anchor_of(note, before) for note in said.notes if note.mark]
    return time_map(examination.basis, motion, before, anchors, loop)


def _state(finding: Finding, known: Known, between: Between) -> str:
    if finding.id in known.was:
        return UNCHANGED
    if between.is_told_now(finding):
        return TOLD_NOW
    return BACK if finding.id in known.back else NEW


def _spot(intended: Intended, before: Pass, shot: Shot, time: TimeMap) -> Spot:
    """Where the mark of what is kept belongs now."""
    kept = intended.finding
    there = ((each.id, each.mark, each.frame) for each in before.findings)
    was = before.kept_frames.get(kept.id, kept.frame)
    if (kept.id, kept.mark, kept.frame) in there:  # it was kept in the pass before
        was = kept.frame
    return Spot(time.at(was), time.pace(was, before.fps) * before.fps / shot.fps)


def _quieted(
    examination: Examination,
    known: Known,
    said: Said,
    spots: Mapping[str, Spot],
) -> tuple[tuple[Finding, ...], tuple[Intended, ...]]:
    """The findings with the reasons of those that are kept on purpose, and what woke."""
    kept = {each.finding.id: each for each in said.intended}
    findings, woken = [], []
    for finding in known.findings:
        each = kept.get(finding.id)
        if each is not None:
            if has_changed(examination.basis, each.finding, finding, spots[finding.id]):
                woken.append(each)
            else:
                finding = replace(finding, intended=each.reason)
        findings.append(finding)
    return tuple(findings), tuple(woken)
