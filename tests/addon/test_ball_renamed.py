# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball stays the ball of its rig whatever they are called, and the panel picks what is there."""

import bpy
import pytest
import rigs


@pytest.fixture(autouse=True)
def nothing_picked():
    yield
    session().rig = ""


def session():
    return bpy.context.window_manager.plumbline


def ball():
    return next(item for item in bpy.context.scene.objects if "plumbline_sphere_of" in item)


def baked():
    rig = rigs.biped()
    bpy.context.scene.frame_set(1)
    assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}
    bpy.context.view_layer.update()
    return rig


def rename(block, name):
    block.name = name
    bpy.context.view_layer.update()


def balls():
    return [o for o in bpy.context.scene.objects if "plumbline_sphere_of" in o]


def test_a_renamed_rig_keeps_its_ball():
    rig = baked()
    session().rig = "porter"
    rename(rig, "hero")
    sphere = ball()
    parts = (sphere, sphere.data, sphere.data.materials[0], sphere.animation_data.action)
    assert [each["plumbline_sphere_of"] for each in parts] == ["hero"] * 4
    assert session().rig == "hero"
    bpy.ops.plumbline.bake_sphere()
    assert balls() == [sphere]


def test_a_renaming_is_followed_through_undo():
    rig = baked()
    bpy.ops.ed.undo_push(message="baked")
    rename(rig, "hero")
    bpy.ops.ed.undo_push(message="renamed")
    bpy.ops.ed.undo()
    assert (ball()["plumbline_sphere_of"], "porter" in bpy.data.objects) == ("porter", True)
    bpy.ops.ed.redo()
    assert (ball()["plumbline_sphere_of"], "hero" in bpy.data.objects) == ("hero", True)


def test_another_object_of_the_old_name_takes_nothing_away():
    rig = baked()
    rename(rig, "hero")
    other = rigs.biped()
    bpy.context.view_layer.update()
    assert (other.name, ball()["plumbline_sphere_of"]) == ("porter", "hero")


def test_a_rig_that_is_gone_is_no_renamed_one():
    rig = baked()
    rigs.cube("crate")
    bpy.data.objects.remove(rig)
    bpy.context.view_layer.update()
    assert ball()["plumbline_sphere_of"] == "porter"


def test_a_renamed_ball_keeps_its_upright_copies():
    baked()
    bpy.ops.plumbline.turn_upright(axis="SIDE")
    session().rig = "porter root sphere"
    rename(ball(), "bouncing")
    named = [o["plumbline_upright_of"] for o in bpy.data.objects if "plumbline_upright_of" in o]
    assert named == ["bouncing"] * 2
    assert session().rig == "bouncing"


@pytest.mark.parametrize("hidden", [False, True])
def test_where_a_picked_ball_is_deleted_its_rig_is_picked(hidden):
    baked()
    session().rig = "porter root sphere"
    if hidden:
        bpy.ops.plumbline.hide_rest()
    bpy.data.objects.remove(ball())
    bpy.context.view_layer.update()
    assert session().rig == "porter"
    bpy.ops.plumbline.bake_sphere()
    assert len(balls()) == 1


def test_where_rig_and_ball_are_deleted_none_is_picked():
    rig = baked()
    session().rig = "porter root sphere"
    bpy.data.objects.remove(rig)
    bpy.data.objects.remove(ball())
    bpy.context.view_layer.update()
    assert session().rig == ""


def test_nothing_is_looked_through_while_poses_and_frames_change(ext, monkeypatch):
    rig, looked = baked(), []
    renamed = ext.addon.sphere.renamed
    monkeypatch.setattr(renamed, "follow", looked.append)
    for frame in range(1, 6):
        bpy.context.scene.frame_set(frame)
        rig.location.x = 0.1 * frame
        ball().location.z = 0.1 * frame
        bpy.context.view_layer.update()
    assert looked == []
    rename(rig, "hero")
    assert looked == [bpy.context.scene]
