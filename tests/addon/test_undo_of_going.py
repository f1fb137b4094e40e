# SPDX-License-Identifier: GPL-3.0-or-later
"""Undo leads back from finding to finding, and takes no edit and no mode along."""

import bpy
import pytest
import rigs
from drawn import fresh_session


@pytest.fixture
def walk(ext):
    """Three findings of a biped in Object Mode at frame 3; tells where one is."""
    session = fresh_session(ext)
    rig = rigs.biped()
    for bone, frame in (("upper_arm.L", 10), ("upper_arm.R", 31)):
        rigs.spike(rig.pose.bones[bone], "rotation_euler", 2, frame, 0.6)
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 22, 0.5)
    bpy.context.scene.frame_set(3)
    bpy.ops.plumbline.check()
    assert len(session.findings) > 2
    bpy.ops.ed.undo_push(message="checked")
    return session


def where():
    """Frame, mode and selected bones."""
    bones = bpy.data.objects["porter"].pose.bones
    selected = [b.name for b in bones if (b if hasattr(b, "select") else b.bone).select]
    return bpy.context.scene.frame_current, bpy.context.mode, selected


def go(index):
    """As a click does, as an operator of its own that undo knows."""
    assert bpy.ops.plumbline.go_to("EXEC_DEFAULT", True, index=index) == {"FINISHED"}
    return where()


def step(**options):
    assert bpy.ops.plumbline.step("EXEC_DEFAULT", True, **options) == {"FINISHED"}
    return where()


def undo():
    bpy.ops.ed.undo()
    return where()


def test_each_click_is_a_step_of_its_own(walk):
    begun = where()
    first, second = go(0), go(1)
    assert first != second
    assert (undo(), walk.active) == (first, 0)  # it is the one that is read again
    assert undo() == begun
    bpy.ops.ed.redo()
    bpy.ops.ed.redo()
    assert (where(), walk.active) == (second, 1)


def test_an_edit_after_going_is_taken_back_alone(ext, walk):
    go(0)
    there = go(1)
    bone = bpy.data.objects["porter"].pose.bones[there[2][0]]
    bone.keyframe_insert("rotation_euler", frame=there[0] + 1)
    bpy.ops.ed.undo_push(message="keyed")
    bpy.context.view_layer.update()
    assert ext.addon.ui.changes.why_old(bpy.context)
    walk.active = 0  # read meanwhile, without going there
    assert (undo(), walk.active) == (there, 0)
    assert not ext.addon.ui.changes.why_old(bpy.context)


def test_walking_is_one_step_after_its_first(walk):
    begun = where()
    first, second = step(), step()
    step(back=True)
    last = step(back=True)
    assert len({begun[0], first[0], second[0], last[0]}) == 4
    assert (begun[1], first[1]) == ("OBJECT", "POSE")
    assert (undo(), undo()) == (first, begun)


def test_walking_after_a_click_is_one_step(walk):
    clicked = go(0)
    step()
    step()
    assert undo() == clicked


def test_walking_on_after_an_edit_takes_nothing_of_it_along(walk):
    go(0)
    bpy.data.objects["porter"].location.x = 2.0
    bpy.ops.ed.undo_push(message="moved")
    step()
    step()
    undo()
    assert bpy.data.objects["porter"].location.x == 2.0
