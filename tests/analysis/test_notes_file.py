# SPDX-License-Identifier: GPL-3.0-or-later
"""Notes are handed over in a check JSON, to the rig that they are about and to no other."""

import json
from dataclasses import replace

import pytest

from analysis import PlumblineError, Settings
from analysis.finding import Finding, Shot
from analysis.merge_words import taken_text
from analysis.note import Note
from analysis.notes_file import read_notes, shot_for, why_other_rig
from analysis.passes import (
    Intended,
    Kept,
    Said,
    merge_said,
    read_report,
    said_from_json,
    said_to_json,
    with_intended,
)
from analysis.report import build_report, write_report

BARE = Kept(
    id="pop:head:12",
    mark="",
    check="pop",
    part="head",
    point="head",
    frames=(12.0, 12.0),
    frame=12.0,
    severity="major",
    amount=8.0,
    limit=3.0,
    unit="cm",
    title="Head: pop",
    says="It pops.",
)


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


def test_notes_of_other_rigs_are_told_in_a_sentence(sent):
    read, names = read_notes(sent), {"waiter", "waiter [props.blend]"}
    assert why_other_rig(read, {"guest"}, {"guest"}, "notes.json", "Take") == ""
    assert why_other_rig(read, names, {"waiter", "guest"}, "notes.json", "Take") == (
        "notes.json is about 'porter', 'guest', expected notes of the rig 'waiter': pick that rig "
        "above, or choose Take where it was only renamed."
    )
    assert "open those of this one, or choose" in why_other_rig(read, names, names, "n", "Take")
    assert shot_for(read, names, "stairs", "notes.json").said.notes[0].text == "b"


def test_a_report_without_a_shot_is_told(tmp_path):
    path = tmp_path / "notes.json"
    write_report(path, build_report([], Settings()))
    with pytest.raises(PlumblineError, match=r"^notes\.json holds no shot, expected the notes of"):
        shot_for(read_notes(path), {"porter"}, "lobby", "notes.json")


def test_a_report_of_a_newer_version_says_to_update(tmp_path):
    path = tmp_path / "notes.json"
    path.write_text('{"schema": "plumbline/2", "shots": []}', encoding="utf-8")
    with pytest.raises(PlumblineError, match=r"^notes\.json: .*newer .* has written it: update"):
        read_notes(path)


@pytest.mark.parametrize(
    ("field", "value", "why"),
    [
        ("check", "nope", "a check 'nope' that does not exist"),
        ("frames", [1e99, 2], "goes from frame 1e\\+99 to 2 for frames"),
        ("frames", [5, 1], "goes from frame 5 to 1 for frames"),
        ("peak_frame", 1e99, "no frame that a scene can have for peak_frame"),
    ],
)
def test_findings_that_cannot_be_are_refused(tmp_path, field, value, why):
    found = Finding(
        id="pop:head:12",
        mark="",
        check="pop",
        part="head",
        point="head",
        space="world",
        frames=(12.0, 12.0),
        peak_frame=12.0,
        severity="major",
        amount=8.0,
        limit=3.0,
        unit="cm",
        says="It pops.",
    )
    report = build_report([replace(shot("porter", "lobby", "a"), findings=(found,))], Settings())
    assert read_report(report)[0].shot.findings[0].check == "pop"
    report["shots"][0]["findings"][0][field] = value
    with pytest.raises(PlumblineError, match=why):
        read_report(report)


def test_what_was_taken_back_here_stays_so_and_is_told():
    def keeps(name, reason="so"):
        return Intended(finding=replace(BARE, id=name), reason=reason)

    note = Note(id="n", frame=12.0, part="head", text="a")
    theirs = Said(intended=(keeps("pop:head:12"), keeps("pop:head:30")), notes=(note,))
    ours = merge_said(Said(), theirs)
    assert taken_text(Said(), theirs) == "1 note, 2 findings kept as intended"
    assert taken_text(ours, theirs) == "nothing new in it"
    back = with_intended(ours, ours.intended[1:])
    back = said_from_json(json.loads(json.dumps(said_to_json(back))))
    assert [each.finding.id for each in merge_said(back, theirs).intended] == ["pop:head:30"]
    assert taken_text(back, theirs) == (
        "nothing new in it; 1 finding that is not intended here stays so"
    )
    again = with_intended(back, (*back.intended, keeps("pop:head:12", "anew")))
    assert again.unkept == ()
    assert len(merge_said(again, theirs).intended) == 2


@pytest.mark.parametrize("content", [b"{", b"[1]", b'{"schema": "other/1"}', b"\xff", b"[" * 99999])
def test_what_is_no_report_is_told_by_its_name(tmp_path, content):
    path = tmp_path / "holiday.json"
    path.write_bytes(content)
    with pytest.raises(PlumblineError, match=r"^holiday\.json"):
        read_notes(path)


def test_a_file_that_is_gone_is_told(tmp_path):
    with pytest.raises(PlumblineError, match=r"^gone\.json cannot be read \(No such file"):
        read_notes(tmp_path / "gone.json")
