# SPDX-License-Identifier: GPL-3.0-or-later
"""What two people said of one shot, together."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from ..note import Note
from .kept import Intended, Said

# So many of what was taken back here are remembered, the latest last.
MOST_DELETED = 200


def with_notes(said: Said, notes: Sequence[Note]) -> Said:
    """What was said, with other notes: those that are gone are remembered as deleted."""
    before, there = [note.id for note in said.notes], {note.id for note in notes}
    return replace(said, notes=tuple(notes), deleted=_taken_back(said.deleted, before, there))


def with_intended(said: Said, intended: Sequence[Intended]) -> Said:
    """What was said, with others kept on purpose: those that are so no longer are remembered."""
    before = [each.finding.id for each in said.intended]
    there = {each.finding.id for each in intended}
    unkept = _taken_back(said.unkept, before, there)
    return replace(said, intended=tuple(intended), unkept=unkept)


def _taken_back(
    gone: Sequence[str], before: Sequence[str], there: Collection[str]
) -> tuple[str, ...]:
    still = [each for each in gone if each not in there]
    return (*still, *(each for each in before if each not in there))[-MOST_DELETED:]


def left_out(ours: Said, theirs: Said) -> tuple[Note, ...]:
    """Notes of theirs that were deleted here, and stay so."""
    return tuple(note for note in theirs.notes if note.id in ours.deleted)


def not_kept(ours: Said, theirs: Said) -> tuple[Intended, ...]:
    """What they keep on purpose and is no longer kept so here, and stays so."""
    return tuple(each for each in theirs.intended if each.finding.id in ours.unkept)


def merge_said(ours: Said, theirs: Said) -> Said:
    """What both said, by the ids of findings and notes; ours first, nothing is lost but what was
    taken back here.

    Of a note that both have, theirs is told: who sends notes has the last word on them. It is done
    where either says so; where their text is another one it asks for something else, and what we
    did about the old text does not count. Of a finding that both keep on purpose the reason is
    theirs, and so is the motion that it was kept for, unless the reason is the same: then nothing
    was decided anew.
    """
    notes = {note.id: note for note in ours.notes}
    kept = [note for note in theirs.notes if note.id not in ours.deleted]
    for note in kept:
        mine = notes.get(note.id)
        notes[note.id] = note if mine is None else _note(mine, note)
    intended = {each.finding.id: each for each in ours.intended}
    out = not_kept(ours, theirs)
    for each in (each for each in theirs.intended if each not in out):
        intended[each.finding.id] = _intended(intended.get(each.finding.id), each)
    return replace(ours, intended=tuple(intended.values()), notes=tuple(notes.values()))


def _note(mine: Note, theirs: Note) -> Note:
    same = mine.text == theirs.text
    # Of one moment, what is known here of where it is now stays.
    moment = bool(theirs.mark) and theirs.mark == mine.mark
    return replace(
        theirs,
        frame=mine.frame if moment else theirs.frame,
        done=theirs.done or (same and mine.done),
        mark=theirs.mark or mine.mark,
        finding=theirs.finding or mine.finding,
        by=theirs.by or mine.by,
        strokes=theirs.strokes or mine.strokes,
    )


def _intended(mine: Intended | None, theirs: Intended) -> Intended:
    return mine if mine is not None and mine.reason == theirs.reason else theirs
