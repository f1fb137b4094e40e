# SPDX-License-Identifier: GPL-3.0-or-later
"""Declared events that cannot be read or used: said in a sentence, left as they are."""

import json

import bpy
import pytest
import rigs
from added import Paper, overridden, select_objects
from digest import difference, digest
from struck import knocked, stops


@pytest.fixture
def session():
    fresh = bpy.context.window_manager.plumbline
    fresh.rig, fresh.cycle, fresh.stage, fresh.space = "", "auto", "polish", "world"
    return fresh


HIT = '{"frames": [20, 21], "part": "upper_arm.L", "kind": "hit"}'


@pytest.mark.parametrize(
    ("value", "found"),
    [
        ([{"frames": [20, 21]}], "of 'porter' is a list of values, expected JSON text such as"),
        ([1, 2], "of 'porter' is a list of values, expected JSON text such as"),
        ({"frames": [20, 21]}, "of 'porter' is a group of values, expected JSON text such as"),
        (5, "of 'porter' is the value 5, expected JSON text such as"),
        (True, "of 'porter' is the value True, expected JSON text such as"),
        ("banana", "of 'porter' is the text 'banana', expected JSON text such as"),
        ("{}", "of 'porter' is the text '{}', expected JSON text such as"),
        ("[" * 20000, "is the text '[[[[[[["),
        ("[3]", "not used: it is 3, expected an object with frames: [first, last]"),
        ('[{"frames": 4}]', "not used: events.frames is 4, expected two numbers: [first, last]"),
        ('[{"frames": ["1", 2]}]', 'not used: events.frames is "1", expected a number between'),
        ('[{"frames": [20, 21], "Part": "foot.R"}]', 'has the key "Part", expected part'),
        ('[{"frames": [1, NaN]}]', "expected a number between"),
        ('[{"frames": [1, 2], "kind": "kiss"}]', 'events.kind is "kiss", expected one of hit'),
        ('[{"frames": [1, 2], "part": "right foot"}]', 'part is "right foot", expected a part'),
        ('[{"frames": [1, 2], "part": "spine.001"}]', 'part is "spine.001", expected a part'),
        (f"[{HIT}, {HIT}, 7]".replace("20, 21", "900, 901"), "Entry 3 of the property"),
    ],
)
def test_what_cannot_be_read_is_said_and_stops_no_check(ext, session, capsys, value, found):
    rig = knocked()
    rig["plumbline_events"] = value
    bpy.context.scene.frame_set(3)
    before = digest()
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    assert difference(before, digest()) == {}
    assert stops(session) == ["Left upper arm: hard stop"]
    notes = [note.says for note in session.skipped if "plumbline_events" in note.says]
    assert len(notes) == 1
    assert found in notes[0]
    capsys.readouterr()
    assert ext.addon.command.main(["check", "--checks", "hard_stop"]) == 10
    assert f"plumbline: the open file, porter: {notes[0]}" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("follow", "x", "of 'crate' is the text 'x', expected JSON text such as [["),
        ("follow", '[["bone"]]', "Entry 1 of the property plumbline_follow of 'crate' is not"),
        ("fixed", "x", "of 'crate' is the text 'x', expected True or False: it counts as set"),
        ("bears_weight", "no", "is the text 'no', expected True or False: it counts as not set"),
        ("bears_weight", [1, 2], "is a list of values, expected True or False"),
        ("events", "x", "of 'Scene' is the text 'x', expected JSON text such as {"),
        ("follow", True, "of 'crate' is the value True, expected JSON"),
        ("fixed", 1, ""),
        ("bears_weight", True, ""),
        ("follow", '[["object"], ["bone", "gone"]]', ""),
    ],
)
def test_what_objects_hold_and_cannot_be_read_is_said(session, key, value, told):
    rig = knocked()
    thing = bpy.context.scene if key == "events" else rigs.cube("crate")
    thing[f"plumbline_{key}"] = value
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    notes = [note.says for note in session.skipped if f"plumbline_{key}" in note.says]
    assert rig.name == "porter"
    assert [told in note for note in notes] == ([True] if told else [])


def test_frames_outside_of_the_range_are_said(session):
    rig = knocked()
    rig["plumbline_events"] = f"[{HIT}]".replace("20, 21", "900, 950")
    bpy.ops.plumbline.check()
    (note,) = [note.says for note in session.skipped if "declared event" in note.says]
    assert "(hit, frames 900 to 950, left upper arm) lies outside of what was checked" in note
    assert stops(session) == ["Left upper arm: hard stop"]
    rig["plumbline_events"] = f"[{HIT}]"
    bpy.ops.plumbline.check()
    assert not [note for note in session.skipped if "event" in note.says]
    assert stops(session) == []


def test_of_many_entries_that_are_none_the_first_few_are_said(ext):
    rig = rigs.biped()
    rig["plumbline_events"] = str(list(range(9)))
    told = ext.addon.sampling.events.unread_events(bpy.context.scene, rig)
    assert [text[:7] for text in told[:3]] == ["Entry 1", "Entry 2", "Entry 3"]
    assert told[3:] == ["6 more are as wrong."]


def test_declaring_leaves_the_entries_of_others_where_they_are(ext):
    rig = rigs.biped()
    rig["plumbline_events"] = '[{"frames": [1, 2], "kind": "kiss"}, 3]'
    bpy.ops.plumbline.declare_event(kind="pull", first=4, last=6)
    (event,) = ext.addon.sampling.events.declared_events(bpy.context.scene, rig)
    assert (event.kind, event.frames) == ("pull", (4.0, 6.0))
    bpy.ops.plumbline.take_event_back(index=0)
    assert json.loads(rig["plumbline_events"]) == [{"frames": [1, 2], "kind": "kiss"}, 3]


@pytest.mark.parametrize("value", ["banana", 7, [1, 2]])
def test_nothing_is_declared_over_what_somebody_else_keeps_there(value):
    rig = rigs.biped()
    rig["plumbline_events"] = value
    with pytest.raises(RuntimeError, match="Plumbline wrote, or none: rename or delete it first"):
        bpy.ops.plumbline.declare_event(kind="pull", first=4, last=6)
    kept = rig["plumbline_events"]
    assert (kept.to_list() if hasattr(kept, "to_list") else kept) == value


def test_what_the_scene_keeps_for_an_overridden_rig_is_said_and_kept(ext, tmp_path):
    rigs.biped()
    rig = overridden(tmp_path)
    select_objects(rig)
    scene = bpy.context.scene
    scene["plumbline_events"] = "mine"
    (told,) = ext.addon.sampling.events.unread_events(scene, rig)
    assert told.startswith("The property plumbline_events of 'Scene' is the text 'mine', expected")
    with pytest.raises(RuntimeError, match="Plumbline wrote, or none: rename or delete it first"):
        bpy.ops.plumbline.declare_event(kind="hit", first=1, last=2)
    assert scene["plumbline_events"] == "mine"


def test_the_panel_says_it_beside_the_list(ext, monkeypatch):
    told = []
    monkeypatch.setattr(
        ext.addon.ui.events, "draw_text", lambda _c, _l, text, **_how: told.append(text)
    )
    rigs.biped()["plumbline_events"] = f"[{HIT}, 3]"
    paper = Paper()
    ext.addon.ui.events.PLUMBLINE_PT_events.draw(type("P", (), {"layout": paper})(), bpy.context)
    assert paper.lines == [("Hit, frames 20 to 21, left upper arm", "FORCE_FORCE")]
    assert [text[:7] for text in told] == ["Entry 2"]
