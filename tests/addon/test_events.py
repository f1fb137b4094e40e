# SPDX-License-Identifier: GPL-3.0-or-later
"""Events from outside: declared in the panel, kept with the rig, and heard by the check."""

import json

import bpy
import pytest
import rigs
from added import Paper, overridden, select_objects
from command_line import save
from digest import difference, digest
from struck import knocked, stops


@pytest.fixture
def session():
    fresh = bpy.context.window_manager.plumbline
    fresh.rig, fresh.cycle, fresh.stage, fresh.space = "", "auto", "polish", "world"
    return fresh


@pytest.fixture
def listed(ext):
    """The declared events of a rig, as the panel lists them."""
    found, text = ext.addon.sampling.events.declared_events, ext.addon.ui.events.event_text
    return lambda rig: [text(event) for event in found(bpy.context.scene, rig)]


def test_a_declared_hit_is_heard_and_taken_back(session, listed):
    rig = knocked()
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    assert stops(session) == ["Left upper arm: hard stop"]
    assert bpy.ops.plumbline.declare_event(kind="hit", first=20, last=21, part="upper_arm.L") == {
        "FINISHED"
    }
    assert listed(rig) == ["Hit, frames 20 to 21, left upper arm"]
    before = digest()
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    assert difference(before, digest()) == {}
    assert stops(session) == []
    assert bpy.ops.plumbline.take_event_back(index=0) == {"FINISHED"}
    assert listed(rig) == []
    assert "plumbline_events" not in rig
    bpy.ops.plumbline.check()
    assert stops(session) == ["Left upper arm: hard stop"]


def test_an_event_on_another_part_excuses_nothing(session):
    knocked()
    bpy.ops.plumbline.declare_event(kind="hit", first=20, last=21, part="foot.R")
    bpy.ops.plumbline.check()
    assert stops(session) == ["Left upper arm: hard stop"]


def test_events_are_saved_in_order_and_stand_in_the_clip(ext, listed, tmp_path):
    rigs.biped()
    for kind, first, part in (("load", 30, ""), ("catch", 12, "hand.R"), ("catch", 12, "hand.R")):
        bpy.ops.plumbline.declare_event(kind=kind, first=first, last=first, part=part)
    bpy.ops.wm.open_mainfile(filepath=str(save(tmp_path / "shot.blend")))
    rig = bpy.data.objects["porter"]
    told = ["Catch, frame 12, right hand", "Load, frame 30, whole body"]
    assert listed(rig) == told
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    assert [(event.kind, event.frames, event.part) for event in clip.meta.events] == [
        ("catch", (12.0, 12.0), "hand.R"),
        ("load", (30.0, 30.0), None),
    ]
    ext.analysis.save_clip(tmp_path / "shot.npz", clip)
    assert ext.analysis.load_clip(tmp_path / "shot.npz").meta.events == clip.meta.events


def test_of_an_overridden_rig_the_scene_keeps_them(listed, tmp_path):
    """Blender drops new properties of overrides when it saves."""
    rigs.biped()
    rig = overridden(tmp_path)
    select_objects(rig)
    assert bpy.ops.plumbline.declare_event(kind="freeze", first=5, last=9) == {"FINISHED"}
    bpy.ops.wm.open_mainfile(filepath=str(save(tmp_path / "shot.blend")))
    rig = next(item for item in bpy.context.scene.objects if item.type == "ARMATURE")
    assert listed(rig) == ["Freeze, frames 5 to 9, whole body"]
    select_objects(rig)
    assert bpy.ops.plumbline.take_event_back(index=0) == {"FINISHED"}
    assert "plumbline_events" not in bpy.context.scene


def test_they_go_on_with_an_override_that_is_made_or_renamed(listed, tmp_path):
    rigs.biped()
    library = save(tmp_path / "library.blend")
    bpy.ops.wm.read_homefile(use_empty=True)
    with bpy.data.libraries.load(str(library), link=True) as (_found, asked_for):
        asked_for.objects = ["porter"]
    (rig,) = asked_for.objects
    bpy.context.scene.collection.objects.link(rig)
    bpy.ops.plumbline.declare_event(kind="hit", first=20, last=21)
    rig = rig.override_create(remap_local_usages=True)
    assert listed(rig) == ["Hit, frames 20 to 21, whole body"]
    rig.name = "hero"
    bpy.ops.wm.open_mainfile(filepath=str(save(tmp_path / "over.blend")))
    rig = bpy.context.scene.objects["hero"]
    assert listed(rig) == ["Hit, frames 20 to 21, whole body"]
    # Where two could be meant, none is.
    other = rig.copy()
    bpy.context.scene.collection.objects.link(other)
    assert (listed(rig), listed(other)) == ([], [])
    bpy.context.scene.collection.objects.unlink(other)
    # What is declared anew goes by the name of now, and the old one is no more.
    bpy.ops.plumbline.declare_event(kind="freeze", first=5, last=6)
    assert listed(rig) == ["Freeze, frames 5 to 6, whole body", "Hit, frames 20 to 21, whole body"]
    assert list(json.loads(bpy.context.scene["plumbline_events"])) == ["hero"]


def test_what_somebody_else_wrote_there_is_left_alone(listed):
    rig = rigs.biped()
    good, tail = '{"frames": [4, 6], "kind": "pull"}', '{"frames": [4, 6], "part": "tail"}'
    rig["plumbline_events"] = (
        f'[3, {{"frames": 4}}, {{"frames": [1, 2], "kind": "kiss"}}, {tail}, {good}]'
    )
    assert listed(rig) == ["Pull, frames 4 to 6, whole body"]
    for other in ("no json", "{}", 7, [1, 2]):
        rig["plumbline_events"] = other
        assert listed(rig) == []


def test_what_cannot_be_declared_is_told_in_one_sentence():
    with pytest.raises(RuntimeError, match="expected"):
        bpy.ops.plumbline.declare_event(kind="hit", first=1, last=2)
    rigs.biped()
    with pytest.raises(RuntimeError, match="ends at frame 3, before it begins at 5, expected"):
        bpy.ops.plumbline.declare_event(kind="hit", first=5, last=3)
    with pytest.raises(RuntimeError, match=r"'hnad\.L' is no part, expected one such"):
        bpy.ops.plumbline.declare_event(kind="hit", first=1, last=2, part="hnad.L")
    with pytest.raises(RuntimeError, match="no such event, expected one of the list"):
        bpy.ops.plumbline.take_event_back(index=0)


def test_undo_takes_an_event_back(listed):
    rig = rigs.biped()
    bpy.ops.ed.undo_push(message="before")
    bpy.ops.plumbline.declare_event(kind="hit", first=1, last=2)
    bpy.ops.ed.undo_push(message="after")
    assert len(listed(rig)) == 1
    bpy.ops.ed.undo()
    assert listed(bpy.data.objects["porter"]) == []


def test_the_panel_lists_the_events_of_the_chosen_rig(ext, session, monkeypatch):
    # Without a window there is no region whose width would break lines.
    monkeypatch.setattr(ext.addon.ui.events, "draw_text", lambda *_args: None)
    rigs.biped("lamplighter")
    rigs.biped("porter")
    session.rig = "porter"
    bpy.ops.plumbline.declare_event(kind="load", first=7, last=9, part="hand.R")
    paper, panel = Paper(), ext.addon.ui.events.PLUMBLINE_PT_events
    panel.draw(type("Panel", (), {"layout": paper})(), bpy.context)
    assert paper.lines == [("Load, frames 7 to 9, right hand", "FORCE_FORCE")]
    assert [(name, button.index) for name, button in paper.buttons] == [
        ("plumbline.take_event_back", 0),
        ("plumbline.declare_event", None),
    ]
    session.rig, paper = "lamplighter", Paper()
    panel.draw(type("Panel", (), {"layout": paper})(), bpy.context)
    assert paper.lines == []
