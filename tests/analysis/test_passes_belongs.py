# SPDX-License-Identifier: GPL-3.0-or-later
"""A report of another shot of the same rig is known as that; one of this shot under any name."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, spike

from analysis import Settings
from analysis.note import Note
from analysis.passes import (
    Here,
    Said,
    is_another,
    merge_said,
    next_pass,
    said_from_json,
    said_to_json,
    shot_words,
    with_notes,
)
from analysis.pipeline import examine
from tests.passes.edits import later

POP = Settings(cycle="no", checks=("pop",))


def made(*faults, speed=1.2):
    """An examination of a walk in which the root pops on samples."""
    up = sum((spike(72, at, size) for at, size in faults), np.zeros(72))
    return examine(figure(frames=72, shift=np.outer(up, [0, 0, 1]), speed=speed), POP)


ONE = made((20, 0.06), (40, 0.08), (58, 0.05))
OTHER = made((12, -0.09), (33, -0.06), (50, -0.08), speed=0.4)


def sent(examination, file, scene="Scene"):
    return replace(examination.shot, file=file, scene=scene)


def here(examination=None, file="/shots/shot_020.blend", scene="Scene", **more):
    known = {"frames": (1.0, 72.0), "fps": 24.0, **more}
    basis = None if examination is None else examination.basis
    return Here(file=file, scene=scene, basis=basis, **known)


@pytest.mark.parametrize(
    ("file", "open_now", "other"),
    [
        # What was measured decides, whatever the names are.
        ("/a/shot_010.blend", here(ONE), False),
        ("/a/shot_010.blend", here(OTHER), True),
        # A new version, on another machine, is the same file.
        ("C:\\a\\shot_020_v03.blend", here(OTHER, "/shots/shot_020_v04.blend"), False),
        # Nothing was measured here: name and range tell, and one that was saved again is the same.
        ("/a/shot_010.blend", here(None), True),
        ("/batch/shot_020.blend", here(None), False),
        ("/a/walk_v003.blend", here(None, "/b/walk_v004.blend"), False),
        ("/a/walk_003.blend", here(None, "/a/walk_004.blend"), False),
        ("/a/walk_003.blend", here(None, "/a/walk_004.blend", frames=(1.0, 50.0)), True),
        ("/a/walk.blend", here(None, "/a/walk1.blend"), False),
        ("/a/walk_take2.blend", here(None, "/a/Walk_take3_v02.blend"), False),
        ("/a/walk_take2.blend", here(None, "/a/run_take2.blend"), True),
        ("/a/001.blend", here(None, "/a/002.blend"), True),
        ("", here(None), False),
        ("/a/shot_010.blend", here(None, frames=(1.0, 50.0)), True),
        ("/a/shot_010.blend", here(None, frames=(101.0, 150.0)), True),
        ("/a/shot_010.blend", here(None, file="", frames=(1.0, 50.0)), False),
    ],
)
def test_motion_tells_shots_apart_and_names_only_where_it_is_not_known(file, open_now, other):
    assert is_another(sent(ONE, file), Said(), open_now) == other


@pytest.mark.parametrize(
    ("frames", "scene", "other"),
    [((1.0, 72.0), "Scene", False), ((1.0, 50.0), "Scene", True), ((1.0, 50.0), "quay", False)],
)
def test_marks_that_are_bent_are_no_proof_of_one_shot_under_other_names(frames, scene, other):
    bent = made((20, 0.075), (40, 0.12), (58, 0.1))
    there = sent(ONE, "/a/b.blend", scene)
    assert is_another(there, Said(), here(bent, frames=frames, scene=scene)) == other
    assert not is_another(there, Said(), here(ONE, frames=frames))


def test_the_last_pass_tells_where_nothing_was_checked_since_the_file_was_opened():
    for kept, other in ((ONE, False), (OTHER, True)):
        record = next_pass(kept, None, Said()).record
        now = replace(here(None), before=record)
        assert is_another(sent(ONE, "/a/b.blend"), Said(), now) == other


def test_frames_that_were_moved_and_one_mend_leave_it_the_same_shot():
    mended = examine(later(made((20, 0.06), (40, 0.08)).basis.clip, 100.0).clip, POP)
    assert not is_another(sent(ONE, "/a/b.blend"), Said(), here(mended, frames=(101.0, 172.0)))


def test_scenes_with_names_of_their_own_tell():
    there = sent(ONE, "/a/b.blend", "lobby")
    assert is_another(there, Said(), here(None, scene="stairs"))
    assert is_another(there, Said(), here(None, scene="lobby", frames=(1.0, 90.0)))
    assert not is_another(there, Said(), here(None, "/c/b2.blend", "lobby", frames=(1.0, 90.0)))
    assert shot_words("C:\\a\\b.blend", "lobby", (1.0, 40.0)) == (
        "b.blend, scene 'lobby', frames 1 to 40"
    )
    assert shot_words("/a/b.blend", "Scene.001", (1.0, 40.0)) == "b.blend, frames 1 to 40"


def test_a_note_that_was_deleted_here_stays_deleted():
    def note(name):
        return Note(id=name, frame=3, part=None, text="Lower")

    theirs = Said(notes=(note("a"), note("b")))
    ours = with_notes(merge_said(Said(), theirs), (note("b"),))
    assert ours.deleted == ("a",)
    again = merge_said(said_from_json(said_to_json(ours)), theirs)
    assert [each.id for each in again.notes] == ["b"]
    assert with_notes(again, (note("a"), note("b"))).deleted == ()
