# SPDX-License-Identifier: GPL-3.0-or-later
"""Notes are handed over in a check JSON, to the rig that they are about and to no other."""

import pytest

from analysis import PlumblineError, Settings
from analysis.finding import Shot
from analysis.note import Note
from analysis.notes_file import read_notes, shot_for
from analysis.report import build_report, write_report


def shot(rig, scene, text):
    note = Note(id=f"note:{rig}:{scene}", frame=12.0, part="head", text=text, by="lead")
    return Shot(
        file="lobby.blend",
        scene=scene,
        rig=rig,
        fps=24.0,
        frames=(1.0, 40.0),
        cycle=False,
        height_m=None,
        findings=(),
        skipped=(),
        good=(),
        style=(),
        looks=(),
        measures={},
        notes=(note,),
    )


@pytest.fixture
def sent(tmp_path):
    shots = [shot("porter", "lobby", "a"), shot("porter", "stairs", "b"), shot("guest", "x", "c")]
    path = tmp_path / "notes.json"
    write_report(path, build_report(shots, Settings()))
    return path


def test_the_shot_of_a_rig_is_found_by_any_of_its_names_and_by_its_scene(sent):
    read = read_notes(sent)
    linked = {"porter", "porter [props.blend]"}
    assert shot_for(read, linked, "stairs", "notes.json").said.notes[0].text == "b"
    assert shot_for(read, linked, "elsewhere", "notes.json").said.notes[0].text == "a"
    assert shot_for(read, {"guest"}, "lobby", "notes.json").shot.rig == "guest"


def test_notes_of_other_rigs_are_refused_in_a_sentence(sent):
    with pytest.raises(PlumblineError) as told:
        shot_for(read_notes(sent), {"waiter", "waiter [props.blend]"}, "lobby", "notes.json")
    assert str(told.value) == (
        "notes.json is about 'porter', 'guest', expected the rig 'waiter': pick that rig above, or "
        "open the notes of this one."
    )


@pytest.mark.parametrize("content", [b"{", b"[1]", b'{"schema": "other/1"}', b"\xff", b"[" * 99999])
def test_what_is_no_report_is_told_by_its_name(tmp_path, content):
    path = tmp_path / "holiday.json"
    path.write_bytes(content)
    with pytest.raises(PlumblineError, match=r"^holiday\.json"):
        read_notes(path)


def test_a_file_that_is_gone_is_told(tmp_path):
    with pytest.raises(PlumblineError, match=r"^gone\.json cannot be read \(No such file"):
        read_notes(tmp_path / "gone.json")
