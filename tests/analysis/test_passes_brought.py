# SPDX-License-Identifier: GPL-3.0-or-later
"""A report that was made of the motion as it was is opened where it was checked as it is now."""

import json
from dataclasses import replace

from test_passes_choices import ALL, clip_of, examined, passed

from analysis import build_report
from analysis.merge_words import taken_text
from analysis.note import Note
from analysis.passes import (
    Said,
    brought_here,
    merge_said,
    next_pass,
    note_mark,
    read_report,
)
from tests.passes.edits import bare, inserted, later

CLIP = bare(clip_of(head=0.15))


def sent():
    """A report of two pops, the later one kept as intended, with a note on the hand's."""
    first = examined(CLIP, ALL)
    mark = note_mark(first.basis, "hand.L", 31.0)
    note = Note(
        id="n", frame=31.0, part="hand.L", text="Softer", mark=mark, finding="pop:hand.L:31"
    )
    findings = tuple(
        replace(each, intended="a hiccup" if each.id == "pop:head:53" else None)
        for each in first.shot.findings
    )
    shot = replace(first.shot, notes=(note,), findings=findings)
    (read,) = read_report(json.loads(json.dumps(build_report([shot], ALL))))
    return read


def test_notes_and_what_is_kept_go_to_where_their_moments_are_now():
    read = sent()
    for edited in (inserted(CLIP, 10, 6), later(CLIP, 6.0)):
        now = examined(edited.clip, ALL)
        pass_here = next_pass(now, None, Said())
        theirs = brought_here(read.shot, read.said, now, pass_here.shot)
        assert [(note.frame, note.finding) for note in theirs.notes] == [(37.0, "pop:hand.L:37")]
        assert [each.finding.id for each in theirs.intended] == ["pop:head:59"]
        again = next_pass(now, pass_here.record, merge_said(Said(), theirs))
        assert [f.intended for f in again.shot.findings if f.id == "pop:head:59"] == ["a hiccup"]
        assert again.note_frames == {"n": 37.0}


def test_what_was_opened_once_is_not_new_and_stays_where_it_is():
    read = sent()
    theirs = brought_here(read.shot, read.said, *_at(inserted(CLIP, 10, 6).clip))
    ours = merge_said(Said(), theirs)
    later_on = brought_here(read.shot, read.said, *_at(inserted(CLIP, 10, 9).clip))
    assert [note.frame for note in later_on.notes] == [40.0]
    assert [note.frame for note in merge_said(ours, later_on).notes] == [37.0]
    assert taken_text(ours, theirs) == "nothing new in it"


def _at(clip):
    return examined(clip, ALL), passed(clip, ALL).shot
