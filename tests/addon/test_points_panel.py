# SPDX-License-Identifier: GPL-3.0-or-later
"""The wish to follow a point: made in the panel, kept in the file, taken back."""

import bpy
import pytest
import rigs
from added import Paper, eared, follow_all, overridden, select_bones, select_objects, skinned
from command_line import save


@pytest.fixture
def wanted(ext):
    """Names of all that is to be followed in the scene."""
    found = ext.addon.sampling.follow.wanted_points
    return lambda: [point.name for point in found(bpy.context.scene)]


@pytest.fixture
def session():
    fresh = bpy.context.window_manager.plumbline
    fresh.rig, fresh.cycle, fresh.stage, fresh.space = "", "auto", "polish", "world"
    return fresh


def test_the_wishes_are_saved_with_the_file_and_taken_back(wanted, tmp_path):
    rig = eared()
    skin, crate = skinned(rig), rigs.cube("crate")
    follow_all(rig, skin, crate)
    listed = ["crate", "ear", "skin vertex 3"]
    assert wanted() == listed
    bpy.ops.wm.open_mainfile(filepath=str(save(tmp_path / "shot.blend")))
    assert wanted() == listed
    bpy.data.objects["crate"].name = "box"
    assert wanted() == ["box", "ear", "skin vertex 3"]
    select_objects(bpy.data.objects["box"])
    assert bpy.ops.plumbline.unfollow() == {"FINISHED"}
    assert bpy.ops.plumbline.unfollow(index=0) == {"FINISHED"}
    assert bpy.ops.plumbline.unfollow(index=0) == {"FINISHED"}
    assert wanted() == []
    assert not [item for item in bpy.data.objects if "plumbline_follow" in item]


def test_of_linked_and_overridden_objects_the_scene_keeps_the_wish(wanted, tmp_path):
    """Blender drops new properties of overrides when it saves, and linked ones cannot have any."""
    eared()
    rig = overridden(tmp_path)
    select_bones(rig, "ear")
    assert bpy.ops.plumbline.follow() == {"FINISHED"}
    bpy.ops.object.mode_set(mode="OBJECT")
    bpy.ops.wm.open_mainfile(filepath=str(save(tmp_path / "shot.blend")))
    assert wanted() == ["ear"]
    assert bpy.ops.plumbline.unfollow(index=0) == {"FINISHED"}
    assert wanted() == []
    assert "plumbline_follow" not in bpy.context.scene


def test_what_is_gone_is_said_and_stops_nothing(session, wanted):
    rig = eared()
    skin = skinned(rig)
    follow_all(rig, skin, rigs.cube("crate"))
    select_objects(rig)
    bpy.ops.object.mode_set(mode="EDIT")
    rig.data.edit_bones.remove(rig.data.edit_bones["ear"])
    bpy.ops.object.mode_set(mode="OBJECT")
    bpy.data.objects.remove(bpy.data.objects["crate"])
    assert wanted() == ["ear", "skin vertex 3"]
    select_objects(rig)
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    told = [note.says for note in session.skipped]
    assert "ear of porter is to be followed and is gone: remove it in Points." in told


def test_the_panel_lists_what_is_followed(ext, monkeypatch):
    # Without a window there is no region whose width would break lines.
    monkeypatch.setattr(ext.addon.ui.points, "draw_text", lambda *_args: None)
    rig = eared()
    follow_all(rig, skinned(rig), rigs.cube("crate"))
    rig["plumbline_follow"] = '[["bone", "ear"], ["bone", "nobody"]]'
    paper = Paper()
    panel = ext.addon.ui.points.PLUMBLINE_PT_points
    panel.draw(type("Panel", (), {"layout": paper})(), bpy.context)
    assert paper.lines == [
        ("crate", "OBJECT_DATA"),
        ("ear (porter)", "BONE_DATA"),
        ("nobody (porter): gone", "ERROR"),
        ("skin vertex 3", "VERTEXSEL"),
    ]
    assert [(name, button.index) for name, button in paper.buttons] == [
        *(("plumbline.unfollow", n) for n in range(4)),
        ("plumbline.follow", None),
    ]


def test_what_somebody_else_wrote_there_is_left_alone(wanted):
    rig = eared()
    rig["plumbline_follow"] = '[["bone"], ["vertex", "x"], 3, ["bone", "ear"]]'
    assert wanted() == ["ear"]
    for other in ("no json", "{}", 7, [1, 2]):
        rig["plumbline_follow"] = other
        assert wanted() == []


def test_following_leaves_the_entries_of_others_where_they_are(wanted):
    rig = eared()
    rig["plumbline_follow"] = '[["bone"], 3, ["bone", "ear"]]'
    select_bones(rig, "head")
    bpy.ops.plumbline.follow()
    assert wanted() == ["ear", "head"]
    bpy.ops.object.mode_set(mode="OBJECT")
    select_bones(rig, "head", "ear")
    bpy.ops.plumbline.unfollow()
    assert rig["plumbline_follow"] == '[["bone"], 3]'
    rig["plumbline_follow"] = "no json"
    with pytest.raises(RuntimeError, match="is the text 'no json', expected a text that Plumbline"):
        bpy.ops.plumbline.follow()
    assert rig["plumbline_follow"] == "no json"


def test_what_cannot_be_followed_is_told_in_one_sentence():
    rig = eared()
    bpy.ops.object.select_all(action="DESELECT")
    with pytest.raises(RuntimeError, match="Nothing is selected, expected bones"):
        bpy.ops.plumbline.follow()
    select_objects(rig)
    with pytest.raises(RuntimeError, match="'porter' is a rig, whose parts are followed"):
        bpy.ops.plumbline.follow()
    many = [rigs.cube(f"cube {n}") for n in range(25)]
    select_objects(*many)
    with pytest.raises(RuntimeError, match="25 are selected, expected 24 at most"):
        bpy.ops.plumbline.follow()
    with pytest.raises(RuntimeError, match="None of these is followed"):
        bpy.ops.plumbline.unfollow()


def test_undo_takes_a_wish_back(wanted):
    crate = rigs.cube("crate")
    select_objects(crate)
    bpy.ops.ed.undo_push(message="before")
    bpy.ops.plumbline.follow()
    bpy.ops.ed.undo_push(message="after")
    assert wanted() == ["crate"]
    bpy.ops.ed.undo()
    assert wanted() == []
