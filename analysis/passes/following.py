# SPDX-License-Identifier: GPL-3.0-or-later
"""A pass beside the one before: ids that go on, what is new, back, fixed, and kept on purpose."""

from collections.abc import Mapping
from dataclasses import replace

from ..finding import Finding, Shot
from ..pipeline import Examination
from ..settings import Settings
from .align import time_map
from .identities import Known, recognised
from .kept import Intended, Kept, Motion, Outcome, Pass, Said, anchor_of, kept_of
from .motion import motion_of
from .quiet import Spot, has_changed
from .times import TimeMap

NEW, BACK, UNCHANGED = "new", "back", "unchanged"
# Of what went away so many are remembered, the latest first.
MOST_FIXED = 200


def next_pass(examination: Examination, before: Pass | None, said: Said) -> Outcome:
    """A pass beside the one before; changes nothing.

    before   the record of the last pass, or None in a first one
    said     what people declared: what they keep on purpose is quiet where its motion is as it was
    """
    first = before is None
    shot, motion = examination.shot, motion_of(examination.basis)
    time = _time(examination, motion, before, said)
    before = before or Pass(rig=shot.rig, frames=shot.frames, fps=shot.fps)
    known = recognised(shot, before, said, time)
    spots = {each.finding.id: _spot(each, before, shot, time) for each in said.intended}
    findings, woken = _quieted(examination, known, said, spots)
    notes = [
        replace(note, frame=time.at(before.note_frames.get(note.id, note.frame)))
        for note in said.notes
    ]
    shot = replace(shot, findings=findings, notes=tuple(notes))
    settings = examination.basis.settings
    fixed, unseen = _left(shot, settings, before, known, time)
    earlier = tuple(_moved(each, time) for each in before.fixed if each.id not in known.back)
    record = Pass(
        rig=shot.rig,
        frames=shot.frames,
        fps=shot.fps,
        findings=tuple(kept_of(each, shot) for each in findings),
        fixed=(*fixed, *earlier)[:MOST_FIXED],
        unseen=unseen,
        note_frames={note.id: note.frame for note in notes},
        kept_frames={name: spot.frame for name, spot in spots.items()},
        factors={each.check: settings.factor(each.check) for each in findings},
        motion=motion,
    )
    return Outcome(
        shot=shot,
        states={} if first else {each.id: _state(each, known) for each in findings},
        was=known.was,
        fixed=fixed,
        woken=woken,
        note_frames=record.note_frames,
        record=record,
    )


def _time(examination: Examination, motion: Motion, before: Pass | None, said: Said) -> TimeMap:
    """Where the frames of the pass before are now: by its motion, else by the marks of findings
    and notes."""
    cycle = examination.cycle
    loop = len(examination.basis.frames) - cycle.repeats if cycle.plays else 0
    there = () if before is None else (*before.findings, *before.unseen)
    anchors = [*there, *(each.finding for each in said.intended)]
    anchors += [anchor_of(note, before) for note in said.notes if note.mark]
    return time_map(examination.basis, motion, before, anchors, loop)


def _state(finding: Finding, known: Known) -> str:
    if finding.id in known.was:
        return UNCHANGED
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


def _left(
    shot: Shot, settings: Settings, before: Pass, known: Known, time: TimeMap
) -> tuple[tuple[Kept, ...], tuple[Kept, ...]]:
    """Of the pass before what is fixed, and what could not be seen."""
    unasked = {check for check, _why in shot.skipped}
    fixed: list[Kept] = []
    unseen: list[Kept] = []
    for each in (*before.findings, *before.unseen):
        if each.id in known.was:
            continue
        moved = _moved(each, time)
        out = not shot.frames[0] <= moved.frame <= shot.frames[1]
        elsewhere = each.check in unasked or each.space != settings.space
        wider = _is_let_through(each, before, settings)
        (unseen if out or elsewhere or wider else fixed).append(moved)
    return tuple(fixed), tuple(unseen[:MOST_FIXED])


def _is_let_through(kept: Kept, before: Pass, settings: Settings) -> bool:
    """Whether limits are so much wider now that it would be within them as it was."""
    factor = settings.factor(kept.check)
    wider = factor / before.factors.get(kept.check, factor)
    amount, limit = abs(kept.amount), abs(kept.limit)
    return wider > 1.0 and max(amount, limit) < wider * min(amount, limit)


def _moved(kept: Kept, time: TimeMap) -> Kept:
    """A finding of the pass before at its place in this one."""
    frame = time.at(kept.frame)
    first, last = (frame + each - kept.frame for each in kept.frames)
    return replace(kept, frame=frame, frames=(first, last))
