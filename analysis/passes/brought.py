# SPDX-License-Identifier: GPL-3.0-or-later
"""What was said in a report, at the places and under the ids that its moments have here.

Who sends a report has seen the motion as it was then: frames may have been put in since, and a
finding goes by the number that it had when it was first told.
"""

from collections.abc import Mapping
from dataclasses import replace

from ..finding import Shot
from ..pipeline import Examination
from .following import time_beside
from .kept import Intended, Kept, Said, kept_of, pass_of
from .left import moved_to
from .match import match
from .motion import motion_of
from .times import TimeMap


def brought_here(there: Shot, said: Said, examination: Examination, here: Shot) -> Said:
    """What was said of a report's shot, as said of the one that was examined; found by marks.

    here   the shot of the examination, with the ids that its findings have
    """
    before = pass_of(there)
    time = time_beside(examination, motion_of(examination.basis), before, said)
    names = _names(before.findings, here, time)
    return replace(
        said,
        intended=tuple(_moved(each, names, time) for each in said.intended),
        notes=tuple(
            replace(
                note,
                frame=time.at(note.frame),
                finding=names.get(note.finding or "", note.finding),
            )
            for note in said.notes
        ),
    )


def _names(olds: tuple[Kept, ...], here: Shot, time: TimeMap) -> Mapping[str, str]:
    """By the id of a finding of the report the id that it has here."""
    news = [kept_of(each, here) for each in here.findings]
    found = match(olds, 0, news, time, here.fps)
    return {olds[m].id: news[n].id for n, m in found.items()}


def _moved(intended: Intended, names: Mapping[str, str], time: TimeMap) -> Intended:
    kept = moved_to(intended.finding, time)
    return replace(intended, finding=replace(kept, id=names.get(kept.id, kept.id)))
