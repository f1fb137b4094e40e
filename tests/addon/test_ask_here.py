# SPDX-License-Identifier: GPL-3.0-or-later
"""What makes this? Asked about the active bone at the current frame; the answer in its own box."""

from dataclasses import replace

import bpy
import pytest
import rigs
from added import select_bones
from digest import difference, digest
from drawn import fresh_session
from searched import begun, event
from test_causes_panel import Canvas, plain_text


@pytest.fixture
def rig(ext):
    """A checked biped whose head pops on frame 25, in Pose Mode there, its head active."""
    fresh_session(ext)
    made = rigs.biped()
    rigs.spike(made.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    pick(made, "head")
    bpy.ops.plumbline.check()
    return made


def pick(rig, bone, frame=25):
    if bpy.context.mode != "OBJECT":
        bpy.ops.object.mode_set(mode="OBJECT")
    select_bones(rig, bone)
    rig.data.bones.active = rig.data.bones[bone]
    bpy.context.scene.frame_set(frame)


def answer(ext):
    return ext.addon.ui.asked_session.asked_here(bpy.context)


def drawn(ext, monkeypatch):
    """The lines and the buttons of the answer."""
    monkeypatch.setattr(
        ext.addon.ui.causes_panel,
        "draw_text",
        plain_text,
    )
    canvas = Canvas()
    ext.addon.ui.causes_panel.draw_asked(bpy.context, canvas)
    return [text for text, _icon in canvas.lines], [name for name, _button in canvas.buttons]


def refused(name):
    with pytest.raises(RuntimeError) as told:
        getattr(bpy.ops.plumbline, name)()
    return str(told.value)


def test_the_key_is_told_and_nothing_is_changed(ext, rig, monkeypatch):
    session = bpy.context.window_manager.plumbline
    findings = [line.title for line in session.findings]
    before = digest()
    assert bpy.ops.plumbline.ask_here() == {"FINISHED"}
    assert difference(before, digest()) == {}
    assert [line.title for line in session.findings] == findings
    asked = answer(ext)
    assert asked.title == "head, frame 25"
    first = asked.causes[0]
    assert (first.control, first.channel, first.frame) == ("head", "rotation_euler", 25.0)
    assert sum(cause.share for cause in asked.causes) == pytest.approx(1.0, abs=0.02)
    lines, buttons = drawn(ext, monkeypatch)
    assert lines[0] == "Asked: head, frame 25"
    assert lines[1].startswith("head, rotation, key 25 (")
    assert buttons[:2] == ["plumbline.ask_here", "plumbline.select_asked_key"]
    assert buttons[2:] == ["plumbline.mend_asked"]


def test_it_is_answered_where_no_check_has_found_anything(ext, rig):
    bpy.context.window_manager.plumbline.stage = "blocking"
    bpy.ops.plumbline.check()
    assert len(bpy.context.window_manager.plumbline.findings) == 0
    assert bpy.ops.plumbline.ask_here() == {"FINISHED"}
    assert answer(ext).causes[0].control == "head"


def test_another_question_or_check_takes_the_answer_away(ext, rig):
    bpy.ops.plumbline.ask_here()
    pick(rig, "hand.L")
    bpy.ops.plumbline.ask_here()
    assert answer(ext).title == "left hand, frame 25"
    bpy.ops.plumbline.find_causes()
    assert answer(ext) is not None
    bpy.ops.plumbline.check()
    assert answer(ext) is None
    assert "first" in refused("select_asked_key")


def test_its_key_can_be_selected_and_mended(ext, rig):
    bpy.ops.plumbline.ask_here()
    assert bpy.ops.plumbline.select_asked_key() == {"FINISHED"}
    chosen = {
        key.co.x
        for curve in rigs.fcurves(rig)
        for key in curve.keyframe_points
        if key.select_control_point
    }
    assert chosen == {25.0}
    assert bpy.ops.plumbline.mend_asked() == {"FINISHED"}
    bpy.context.view_layer.update()
    assert "Keys have changed" in refused("ask_here")
    assert "Keys have changed" in refused("mend_asked")


def test_a_key_that_makes_little_of_it_is_selected_and_not_mended(ext, rig, monkeypatch):
    bpy.ops.plumbline.ask_here()
    asked = answer(ext)
    faint = replace(asked.causes[0], share=0.1)
    ext.addon.ui.asked_session.remember(replace(asked, causes=(faint,)))
    assert drawn(ext, monkeypatch)[1] == ["plumbline.ask_here", "plumbline.select_asked_key"]
    assert "changes little of it" in refused("mend_asked")


def test_why_nothing_can_be_asked_is_told(ext, rig):
    bpy.ops.object.mode_set(mode="OBJECT")
    assert "Select a bone of the checked rig in Pose Mode" in refused("ask_here")
    pick(rig, "head", frame=41)
    assert "Frame 41 was not checked" in refused("ask_here")
    pick(rig, "head")
    bpy.context.window_manager.plumbline.progress = 0.5
    assert "A search goes on" in refused("ask_here")
    ext.addon.ui.session.clear(bpy.context.window_manager.plumbline)
    assert "Press Check first" in refused("ask_here")


def test_a_bone_of_another_rig_is_not_asked_about(ext, rig):
    bpy.ops.object.mode_set(mode="OBJECT")
    pick(rigs.armature("other", rigs.BIPED), "head")
    assert "Select a bone of the checked rig" in refused("ask_here")


def test_a_control_is_asked_about_by_the_joint_that_it_moves(ext, rig):
    """An ear that nothing follows goes by the head; a lamp on the ground goes by nothing."""
    bpy.ops.object.mode_set(mode="EDIT")
    bones = rig.data.edit_bones
    for name, parent in (("ear", "head"), ("lamp", None)):
        bone = bones.new(name)
        bone.head, bone.tail = (0.0, 0.0, 0.1), (0.0, 0.0, 0.2)
        bone.parent = bones.get(parent) if parent else None
    bpy.ops.object.mode_set(mode="POSE")
    bpy.ops.plumbline.check()
    pick(rig, "ear")
    assert bpy.ops.plumbline.ask_here() == {"FINISHED"}
    assert answer(ext).title == "head, frame 25"
    pick(rig, "lamp")
    assert "'lamp' moves no part that is followed" in refused("ask_here")
    assert answer(ext) is None


@pytest.fixture
def asking(ext, rig, monkeypatch):
    """The question as a window asks it: what goes on, and its context."""
    cls = ext.addon.ui.ask_here.PLUMBLINE_OT_ask_here
    found = begun(ext, monkeypatch, cls, active_pose_bone=rig.pose.bones["head"])
    return found.me, found.context


def test_esc_ends_it_without_an_answer(ext, asking):
    me, context = asking
    assert me.modal(context, event("A", "PRESS")) == {"PASS_THROUGH"}
    me.modal(context, event("TIMER"))
    assert bpy.context.window_manager.plumbline.asking
    assert me.modal(context, event("ESC", "PRESS")) == {"CANCELLED"}
    assert me.reports == ["Stopped: there is no answer."]
    assert bpy.context.window_manager.plumbline.progress < 0.0
    assert answer(ext) is None


def test_ticks_lead_to_the_answer(ext, asking, monkeypatch):
    me, context = asking
    done = {"PASS_THROUGH"}
    while done == {"PASS_THROUGH"}:
        done = me.modal(context, event("TIMER"))
    assert done == {"FINISHED"}
    assert answer(ext).causes[0].frame == 25.0
    assert drawn(ext, monkeypatch)[0][0] == "Asked: head, frame 25"
