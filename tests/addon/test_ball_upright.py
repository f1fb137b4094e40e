# SPDX-License-Identifier: GPL-3.0-or-later
"""Upright copies stand where the turn says, on every frame, and move with the ball at once."""

import bpy
import numpy as np
import pytest
import rigs
from command_line import save
from digest import difference, digest
from stepped import built

from demo_scenes.porter import brisk_walk

# Blender places objects in float32.
LIMIT_M = 1e-5


@pytest.fixture(autouse=True)
def usual_choices():
    yield
    bpy.context.window_manager.plumbline.property_unset("sphere")


def ball():
    return next(item for item in bpy.context.scene.objects if "plumbline_sphere_of" in item)


def turn(axis):
    assert bpy.ops.plumbline.turn_upright(axis=axis) == {"FINISHED"}
    found = [item for item in bpy.context.scene.objects if "plumbline_turned" in item]
    return {item["plumbline_turned"]["axis"]: item for item in found}


def frames():
    scene = bpy.context.scene
    return np.arange(scene.frame_start, scene.frame_end + 1, dtype=float)


def shown(*items):
    """(T,3) in Blender units of each item, on all frames that play."""
    found = []
    for frame in frames():
        bpy.context.scene.frame_set(int(frame))
        graph = bpy.context.evaluated_depsgraph_get()
        found.append([item.evaluated_get(graph).matrix_world.translation[:] for item in items])
    return np.array(found).transpose(1, 0, 2)


@pytest.mark.parametrize("way", ["bake_sphere", "follow_sphere"])
def test_on_the_walk_both_stand_where_the_turn_says(ext, way):
    built(brisk_walk, polished=False)
    getattr(bpy.ops.plumbline, way)()
    turn("SIDE")
    copies = turn("AHEAD")
    how = {axis: ext.addon.sphere.upright.turned_of(copy) for axis, copy in copies.items()}
    true, side, ahead = shown(ball(), copies["SIDE"], copies["AHEAD"])
    for axis, there in (("SIDE", side), ("AHEAD", ahead)):
        assert there == pytest.approx(how[axis].to(frames(), true), abs=LIMIT_M)
        assert how[axis].back(frames(), there) == pytest.approx(true, abs=LIMIT_M)
    # Over the true one and over each other, on all frames.
    assert side[:, 2].min() > true[:, 2].max() + 1.0
    assert ahead[:, 2].min() > side[:, 2].max() + 0.5
    # It walks along -Y: seen from the side all three stand over each other.
    travel = true[-1] - true[0]
    way = np.array([travel[0], travel[1], 0.0]) / np.hypot(*travel[:2])
    assert side @ way == pytest.approx(true @ way, abs=LIMIT_M)
    left = np.array([-way[1], way[0], 0.0])
    assert np.ptp(side[:, 2]) == pytest.approx(np.ptp(true @ left), abs=LIMIT_M)


def test_it_moves_with_the_keys_of_the_ball_at_once(ext):
    rigs.biped()
    rigs.every_frame()
    bpy.ops.plumbline.bake_sphere()
    copy = turn("SIDE")["SIDE"]
    how, sphere = ext.addon.sphere.upright.turned_of(copy), ball()
    for curve in rigs.fcurves(sphere):
        curve.keyframe_points[11].co.y += 0.1 * (1 + curve.array_index)
        curve.update()
    true, there = shown(sphere, copy)
    assert there == pytest.approx(how.to(frames(), true), abs=LIMIT_M)
    bpy.context.scene.frame_set(20)
    sphere.location = (0.3, -0.2, 2.0)
    bpy.context.view_layer.update()
    now = np.array(copy.matrix_world.translation)[None]
    wanted = how.to(np.array([20.0]), np.array([[0.3, -0.2, 2.0]]))
    assert now == pytest.approx(wanted, abs=LIMIT_M)


def test_with_time_remapped_and_another_unit(ext):
    rig = rigs.biped()
    rig.scale = (50.0, 50.0, 50.0)
    scene = bpy.context.scene
    rigs.key(rig, "location", [(0, 0, 0), (-20, -60, 0), (0, -220, 0)])
    scene.unit_settings.system, scene.unit_settings.scale_length = "METRIC", 0.02
    scene.render.frame_map_old, scene.render.frame_map_new = 100, 150
    rigs.set_range(3, 50)
    bpy.ops.plumbline.bake_sphere()
    turn("AHEAD")
    for axis, copy in turn("SIDE").items():
        how = ext.addon.sphere.upright.turned_of(copy)
        true, there = 0.02 * shown(ball(), copy)
        assert there == pytest.approx(how.to(frames(), true), abs=5 * LIMIT_M), axis
        assert how.drift.any() == (axis == "AHEAD")


def test_a_figure_that_goes_nowhere_is_turned_about_where_it_faces(ext):
    rig = rigs.biped()
    rig.rotation_euler.z = 0.5
    rigs.key(rig.pose.bones["hips"], "location", [(0.2, 0, 0), (-0.2, 0.0, 0), (0.2, 0, 0)])
    bpy.ops.plumbline.bake_sphere()
    how = ext.addon.sphere.upright.turned_of(turn("SIDE")["SIDE"])
    faces = np.array([np.sin(0.5), -np.cos(0.5), 0.0])
    assert how.rotation @ faces == pytest.approx(faces, abs=0.02)


def test_pressed_again_it_goes_and_nothing_is_left():
    rigs.biped()
    bpy.ops.plumbline.bake_sphere()
    bpy.context.view_layer.update()
    before = digest()
    turn("SIDE")
    assert set(turn("AHEAD")) == {"SIDE", "AHEAD"}
    assert set(turn("SIDE")) == {"AHEAD"}
    assert turn("AHEAD") == {}
    bpy.context.view_layer.update()
    assert difference(before, digest()) == {}


def test_removing_the_ball_takes_its_copies_along():
    rigs.biped()
    bpy.context.view_layer.update()
    before = digest()
    bpy.ops.plumbline.bake_sphere()
    turn("SIDE")
    turn("AHEAD")
    bpy.ops.plumbline.remove_sphere()
    assert difference(before, digest()) == {}


def test_clearing_what_is_kept_here_takes_them_as_well():
    rigs.biped()
    bpy.context.view_layer.update()
    before = digest()
    bpy.ops.plumbline.bake_sphere()
    turn("SIDE")
    turn("AHEAD")
    assert bpy.ops.plumbline.clear(kinds={"spheres"}) == {"FINISHED"}
    assert difference(before, digest()) == {}
    bpy.ops.plumbline.bake_sphere()
    turn("SIDE")
    bpy.data.objects.remove(ball())
    bpy.ops.plumbline.clear(kinds={"spheres"})
    assert [item.name for item in bpy.context.scene.objects] == ["porter"]


def test_baking_again_turns_it_anew_and_renaming_loses_nothing(ext, tmp_path):
    rig = rigs.biped()
    bpy.ops.plumbline.bake_sphere()
    copy = turn("SIDE")["SIDE"]
    ball().name = "bob"
    rigs.key(rig, "location", [(0, 0, 0), (2, 0, 0), (4, 0, 0)])
    bpy.ops.plumbline.bake_sphere()
    assert copy["plumbline_upright_of"] == "bob"
    how = ext.addon.sphere.upright.turned_of(copy)
    true, there = shown(ball(), copy)
    travel = (true[-1] - true[0]) * [1.0, 1.0, 0.0]
    assert travel[0] > 3.9
    assert how.rotation @ travel == pytest.approx(travel, abs=LIMIT_M)
    assert there == pytest.approx(how.to(frames(), true), abs=LIMIT_M)
    path = save(tmp_path / "walk.blend")
    bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=False)
    assert turn("SIDE") == {}


def test_it_is_no_subject_and_no_part_of_the_picture(ext):
    rigs.biped()
    bpy.ops.plumbline.bake_sphere()
    turn("SIDE")
    copies = turn("AHEAD")
    for copy in copies.values():
        assert copy.hide_render
        assert copy.parent.hide_select
        assert not copy.parent.visible_get()
        assert tuple(copy.lock_location) == (True,) * 3
        assert [each.name for each in copy.users_collection] == ["Plumbline"]
    moving = ext.addon.sampling.scene_facts.moving_objects(bpy.context.scene)
    assert [item.name for item in moving] == [ball().name]


def test_one_step_of_undo_takes_it_back():
    rigs.biped()
    bpy.ops.plumbline.bake_sphere()
    bpy.ops.ed.undo_push(message="before")
    bpy.ops.plumbline.turn_upright("EXEC_DEFAULT", True, axis="SIDE")
    bpy.ops.ed.undo()
    assert not [item for item in bpy.context.scene.objects if "plumbline_upright_of" in item]
    bpy.ops.ed.redo()
    copy = next(item for item in bpy.context.scene.objects if "plumbline_turned" in item)
    assert copy.constraints[0].target == ball()


def test_without_a_ball_there_is_nothing_to_press():
    rigs.biped()
    assert not bpy.ops.plumbline.turn_upright.poll()
