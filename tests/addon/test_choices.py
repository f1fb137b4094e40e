# SPDX-License-Identifier: GPL-3.0-or-later
"""What is chosen in the panel reaches the check, and makes older answers old."""

import json

import bpy
import pytest
import rigs
from added import Paper


@pytest.fixture
def session():
    return bpy.context.window_manager.plumbline


def popping():
    """A biped whose head jumps at frame 25, not far: strict limits tell it, loose ones do not."""
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.07)
    return rig


def style(folder, factor):
    path = folder / "our show.json"
    entry = {"factor": factor, "shots": 3, "widest": {"shot": "a", "factor": 1.0}, "beyond": []}
    content = {"style": "plumbline-style/1", "checks": {"pop": entry}}
    path.write_text(json.dumps(content), encoding="utf-8")
    return path


def drawn(ext, session, unfolded):
    paper = Paper()
    paper.unfolded = unfolded
    ext.addon.ui.choices.draw_choices(bpy.context, paper, session)
    return paper


def test_a_range_of_ones_own_begins_as_the_one_that_plays_and_is_measured(session):
    popping()
    session.range_of = "own"
    assert (session.first_frame, session.last_frame) == (1, 40)
    session.last_frame = 20
    bpy.ops.plumbline.check()
    assert session.headline.startswith("porter, frames 1 to 20: ")
    assert not session.findings
    session.first_frame = 30
    session.range_of = "plays"
    session.range_of = "own"  # as it was typed
    told = "The range 30 to 20 ends before it begins"
    with pytest.raises(RuntimeError, match=told):
        bpy.ops.plumbline.check()
    assert session.problem.startswith(told)


def test_the_tolerance_widens_the_limits(session):
    popping()
    found = {}
    for tolerance in ("strict", "loose"):
        session.tolerance = tolerance
        bpy.ops.plumbline.check()
        found[tolerance] = [line.title for line in session.findings]
    assert found == {"strict": ["Head: pop"], "loose": []}


def test_a_house_style_is_picked_and_dropped(session, tmp_path):
    popping()
    session.tolerance = "strict"
    path = style(tmp_path, 4.0)
    assert bpy.ops.plumbline.pick_style(filepath=str(path)) == {"FINISHED"}
    bpy.ops.plumbline.check()
    assert "Head: pop" not in [line.title for line in session.findings]
    assert bpy.ops.plumbline.drop_style() == {"FINISHED"}
    bpy.ops.plumbline.check()
    assert "Head: pop" in [line.title for line in session.findings]


def test_what_is_no_style_is_told_and_not_taken(session, tmp_path):
    popping()
    wrong = tmp_path / "shot.json"
    wrong.write_text("{}", encoding="utf-8")
    with pytest.raises(RuntimeError, match=r"Error: shot\.json does not say") as told:
        bpy.ops.plumbline.pick_style(filepath=str(wrong))
    assert "expected a house style" in str(told.value)
    assert "learn CLIP" not in str(told.value)
    with pytest.raises(RuntimeError, match="No file is chosen"):
        bpy.ops.plumbline.pick_style(filepath="")
    assert session.style_path == ""
    path = style(tmp_path, 4.0)
    bpy.ops.plumbline.pick_style(filepath=str(path))
    path.unlink()
    with pytest.raises(RuntimeError, match="cannot be read"):
        bpy.ops.plumbline.check()
    assert session.problem.startswith("our show.json cannot be read")


def test_a_choice_makes_answers_old_until_it_is_taken_back(ext, session, tmp_path):
    popping()
    bpy.ops.plumbline.check()
    why_old = ext.addon.ui.changes.why_old
    usual = {"range_of": "plays", "tolerance": "normal", "style_path": ""}
    other = {"range_of": "own", "tolerance": "strict", "style_path": str(style(tmp_path, 2.0))}
    for name, value in other.items():
        setattr(session, name, value)
        if name == "range_of":
            session.last_frame = 30
        assert why_old(bpy.context) == ext.addon.ui.changes.ASKED, name
        setattr(session, name, usual[name])
        assert why_old(bpy.context) == "", name


def test_character_and_stage_are_in_sight_and_what_is_unusual_is_said(ext, session, tmp_path):
    popping()
    drawn_texts = [text for text, _icon in drawn(ext, session, False).lines]
    assert drawn_texts == ["rig", "stage", "More Choices"]
    session.cycle, session.tolerance, session.range_of = "yes", "strict", "own"
    session.first_frame, session.height_m = 20, 1.75
    bpy.ops.plumbline.pick_style(filepath=str(style(tmp_path, 1.2)))
    told = "Loop, strict, frames 20 to 40, like our show, 1.75 m tall."
    assert ext.addon.ui.choices.unusual(bpy.context) == told
    paper = drawn(ext, session, True)
    names = [text for text, icon in paper.lines if icon == "FIELD"]
    frames = ["first_frame", "last_frame"]
    rest = ["cycle", "tolerance", "space", "height_m"]
    assert names == ["rig", "stage", "range_of", *frames, *rest]
    assert [name for name, _button in paper.buttons] == [
        "plumbline.pick_style",
        "plumbline.drop_style",
    ]


def test_another_file_begins_with_the_usual_choices(ext, session, tmp_path):
    popping()
    session.range_of, session.tolerance, session.last_frame = "own", "loose", 30
    bpy.ops.plumbline.pick_style(filepath=str(style(tmp_path, 1.2)))
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    fresh = bpy.context.window_manager.plumbline
    assert ext.addon.ui.choices.unusual(bpy.context) == ""
    assert (fresh.range_of, fresh.tolerance, fresh.style_path) == ("plays", "normal", "")
