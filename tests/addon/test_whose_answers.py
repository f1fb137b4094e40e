# SPDX-License-Identifier: GPL-3.0-or-later
"""Answers belong to one scene and one rig, and going to a frame loses no pose."""

import bpy
import pytest
import rigs
from drawn import checked_session, now


@pytest.fixture
def checked(ext):
    return checked_session(ext)


def shown(ext):
    """Whether panels, the list's buttons and the viewport show the answers."""
    ui = ext.addon.ui
    found = {
        ui.session.is_here(bpy.context),
        ui.trails_panel.PLUMBLINE_PT_trails.poll(bpy.context),
        ui.panel.PLUMBLINE_PT_skipped.poll(bpy.context),
        bpy.ops.plumbline.go_to.poll(),
        now(ext) is not None,
    }
    (answer,) = found
    return answer


def test_another_scene_does_not_show_them(ext, checked):
    assert shown(ext)
    first, other = bpy.context.scene, bpy.data.scenes.new("other")
    bpy.context.window.scene = other
    assert not shown(ext)
    other.frame_set(3)
    with pytest.raises(RuntimeError):
        bpy.ops.plumbline.go_to(index=0)
    assert other.frame_current == 3
    bpy.context.window.scene = first
    first.name = "renamed"
    assert shown(ext)


def test_a_problem_is_told_in_its_own_scene(ext, checked):
    first, other = bpy.context.scene, bpy.data.scenes.new("other")
    bpy.context.window.scene = other
    with pytest.raises(RuntimeError, match="holds no armature"):
        bpy.ops.plumbline.check()
    assert ext.addon.ui.session.is_here(bpy.context)
    bpy.context.window.scene = first
    assert not ext.addon.ui.session.is_here(bpy.context)


def test_they_follow_a_rig_that_is_renamed_and_go_with_one_that_is_deleted(ext, checked):
    bpy.data.objects["porter"].name = "stevedore"
    other = rigs.biped("porter")
    assert shown(ext)
    bpy.ops.ed.undo_push(message="before")
    bpy.data.objects.remove(bpy.data.objects["stevedore"])
    assert not shown(ext)
    bpy.ops.ed.undo_push(message="deleted")
    bpy.ops.ed.undo()
    assert shown(ext)
    bpy.context.view_layer.objects.active = other = bpy.data.objects["porter"]
    bpy.data.objects.remove(bpy.data.objects["stevedore"])
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    assert ext.addon.ui.last_check.last_check().is_of(bpy.context.scene)
    assert other.name == "porter"


def test_going_where_the_playhead_stands_keeps_a_pose_that_is_not_keyed(ext, checked):
    scene, bone = bpy.context.scene, bpy.data.objects["porter"].pose.bones["head"]
    bpy.ops.plumbline.go_to(index=0)
    keyed = bone.rotation_euler[0]
    bone.rotation_euler[0] = keyed - 0.5
    bpy.ops.plumbline.go_to(index=0)
    assert bone.rotation_euler[0] == pytest.approx(keyed - 0.5)
    scene.frame_set(3)
    bpy.ops.plumbline.go_to(index=0)
    assert bone.rotation_euler[0] == pytest.approx(keyed)


def test_undo_takes_back_the_move_and_nothing_that_was_before(ext, checked):
    bpy.ops.ed.undo_push(message="before")
    bpy.data.objects.new("made meanwhile", None).use_fake_user = True
    bpy.ops.ed.undo_push(message="made")
    bpy.ops.plumbline.go_to("EXEC_DEFAULT", True, index=0)
    assert bpy.context.scene.frame_current == 25
    bpy.ops.ed.undo()
    assert bpy.context.scene.frame_current == 3
    assert "made meanwhile" in bpy.data.objects


def test_disabling_forgets_the_answers(ext, checked):
    assert checked.headline
    ext.unregister()
    ext.register()
    fresh = bpy.context.window_manager.plumbline
    assert (fresh.headline, len(fresh.findings), len(fresh.trails.parts)) == ("", 0, 0)
