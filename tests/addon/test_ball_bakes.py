# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball on any point of a figure: baked with a key a frame or with few, or following live.

All is measured by what Blender shows, on every frame.
"""

import bpy
import numpy as np
import pytest
import rigs
from stepped import built, step

from demo_scenes.porter import brisk_walk

LIMIT_M = 1e-6


@pytest.fixture(autouse=True)
def usual_choices():
    yield
    bpy.context.window_manager.plumbline.property_unset("sphere")


def choose(**told):
    """As in the panel; asked for anew each time, as another file may have been opened."""
    for name, value in told.items():
        setattr(bpy.context.window_manager.plumbline.sphere, name, value)


def ball():
    return next(item for item in bpy.context.scene.objects if "plumbline_sphere_of" in item)


def bake():
    rigs.every_frame()
    assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}
    return ball()


def follow():
    assert bpy.ops.plumbline.follow_sphere() == {"FINISHED"}
    return ball()


def shown(item, bone=None):
    """(T,4,4) where an object, or a bone of it, is shown over the range that plays."""
    scene, found = bpy.context.scene, []
    for frame in range(scene.frame_start, scene.frame_end + 1):
        scene.frame_set(frame)
        seen = item.evaluated_get(bpy.context.evaluated_depsgraph_get())
        place = np.array(seen.matrix_world, dtype=np.float64)
        found.append(place if bone is None else place @ np.array(seen.pose.bones[bone].matrix))
    return np.array(found)


def apart(one, two):
    """Metres, on the worst frame."""
    return np.linalg.norm(one[:, :3, 3] - two[:, :3, 3], axis=1).max()


def turned_apart(one, two):
    """Radians, on the worst frame; of scaled matrices as well."""
    one, two = (
        each[:, :3, :3] / np.linalg.norm(each[:, :3, :3], axis=1)[:, None] for each in (one, two)
    )
    cosine = (np.einsum("tij,tij->t", one, two) - 1.0) / 2.0
    return np.arccos(np.clip(cosine, -1.0, 1.0)).max()


def keys(sphere):
    return [[point.co.x for point in curve.keyframe_points] for curve in rigs.fcurves(sphere)]


def activate(rig, bone=None):
    bpy.context.view_layer.objects.active = rig
    rig.data.bones.active = rig.data.bones[bone] if bone else None


def held_by(rig):
    """A bone without keys and without a part, on the chest."""
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode="EDIT")
    made = rig.data.edit_bones.new("lamp")
    made.head, made.tail = (0.1, -0.3, 1.4), (0.1, -0.3, 1.6)
    made.parent = rig.data.edit_bones["chest"]
    bpy.ops.object.mode_set(mode="OBJECT")
    return "lamp"


@pytest.mark.parametrize("way", [bake, follow])
def test_on_each_point_of_the_walk(way):
    rig = built(brisk_walk, polished=False)
    for on, bone in (("ROOT", "body"), ("PELVIS", "hips")):
        choose(on=on)
        assert apart(shown(way()), shown(rig, bone)) < LIMIT_M
    told = ball()["plumbline_sphere_on"].to_dict()
    assert (told["what"], told["joint"], told["control"]) == ("pelvis", "hips", "body")
    choose(on="CONTROL")
    activate(rig, "hand.L")
    assert apart(shown(way()), shown(rig, "hand.L")) < LIMIT_M
    told = ball()["plumbline_sphere_on"].to_dict()
    assert (told["what"], told["joint"], told["control"]) == ("control", "hand.L", "hand.L")


@pytest.mark.parametrize("way", [bake, follow])
def test_on_the_centre_of_mass(way):
    """Winter's table, worked out here from heads and tails that Blender shows."""
    from stepped import Bones

    rig = built(brisk_walk, polished=False)
    choose(on="COM")
    sphere = way()
    scene = bpy.context.scene
    frames = range(scene.frame_start, scene.frame_end + 1)
    bones, _seen = step(rig, frames, lambda graph, seen: None)
    place = np.array(rig.matrix_world)
    centre = Bones(**bones).centre() @ place[:3, :3].T + place[:3, 3]
    off = np.linalg.norm(shown(sphere)[:, :3, 3] - centre, axis=1)
    assert off.max() < 1e-4
    told = sphere["plumbline_sphere_on"].to_dict()
    assert (told["what"], told["joint"], told["control"]) == ("com", "", "body")


def test_a_ball_follows_a_hidden_rig(capfd):
    rig = rigs.biped()
    bpy.context.scene.frame_set(1)
    choose(on="COM")
    baked = shown(bake())
    sphere = follow()
    assert " off" not in capfd.readouterr().out
    bpy.ops.plumbline.hide_rest()
    assert rig.hide_get()
    assert apart(shown(sphere), baked) < 1e-5
    rig.hide_viewport = True
    assert apart(shown(sphere), baked) < 1e-5


def test_how_far_a_ball_is_off_the_centre_of_mass_is_told(capfd):
    """Tips lie at the rest length of a bone, tails where scaling puts them: one hand is large."""
    rigs.awkward()
    bpy.context.scene.frame_set(1)
    choose(on="COM")
    baked = shown(bake())
    bpy.context.scene.frame_set(1)
    sphere = follow()
    told = capfd.readouterr().out
    there = shown(sphere)
    off = np.linalg.norm(there[0, :3, 3] - baked[0, :3, 3])
    assert off > 1e-4
    assert f"; on this frame it is {1000 * off:.2g} mm off, as bones are stretched" in told
    assert apart(there, baked) < 5e-4


def test_what_is_active_counts_for_the_active_control_whatever_rig_is_picked():
    rig, crate = rigs.biped(), rigs.cube("crate")
    rigs.key(crate, "location", [(0, 0, 0), (0.3, 0.5, 0.7), (1, 0, 0)])
    session = bpy.context.window_manager.plumbline
    session.rig = "porter"
    choose(on="CONTROL")
    bpy.context.view_layer.objects.active = crate
    sphere = bake()
    assert sphere["plumbline_sphere_of"] == "crate"
    bpy.context.view_layer.objects.active = sphere
    assert bake() == sphere
    bpy.ops.plumbline.remove_sphere()
    activate(rig, "head")
    assert bake()["plumbline_sphere_of"] == "porter"
    session.rig = ""


@pytest.mark.parametrize("way", [bake, follow])
def test_on_a_bone_that_nobody_follows(way):
    rig = rigs.biped()
    bone = held_by(rig)
    choose(on="CONTROL")
    activate(rig, bone)
    assert apart(shown(way()), shown(rig, bone)) < LIMIT_M


@pytest.mark.parametrize("way", [bake, follow])
def test_on_a_plain_object_and_on_a_rig_that_moves_as_one(way):
    choose(on="CONTROL")
    crate = rigs.cube("crate")
    crate.rotation_euler = (0.2, 0.1, 0.9)
    rigs.key(crate, "location", [(0, 0, 0), (0.3, 0.5, 0.7), (1, 0, 0)])
    rigs.set_range(1, 40)
    bpy.context.view_layer.objects.active = crate
    choose(rotation=True)
    sphere = way()
    assert apart(shown(sphere), shown(crate)) < LIMIT_M
    assert turned_apart(shown(sphere), shown(crate)) < 2e-3
    assert sphere.dimensions.x == pytest.approx(0.5, rel=0.01)
    bpy.ops.plumbline.remove_sphere()
    bones = {"base": (None, (0, 0, 0), (0, 0, 1))}
    drone = rigs.armature("drone", bones)
    rigs.key(drone, "location", [(0, 0, 0), (0.3, 0.5, 0.7), (1, 0, 0)])
    activate(drone)
    assert apart(shown(way()), shown(drone)) < LIMIT_M


@pytest.mark.parametrize("way", [bake, follow])
def test_with_rotation(way):
    rig = rigs.awkward()
    choose(rotation=True)
    for on, bone in (("ROOT", "hips"), ("CONTROL", "forearm.L")):
        choose(on=on)
        activate(rig, bone)
        sphere = way()
        assert apart(shown(sphere), shown(rig, bone)) < LIMIT_M
        assert turned_apart(shown(sphere), shown(rig, bone)) < 2e-3
    if way is bake:
        assert sphere.rotation_mode == "QUATERNION"
        turns = np.array([[p.co.y for p in c.keyframe_points] for c in rigs.fcurves(sphere)[3:]]).T
        assert (turns[1:] * turns[:-1]).sum(axis=1).min() > 0.0


@pytest.mark.parametrize("error_m", [0.02, 0.005, 0.001])
def test_few_keys_stay_within_the_error(error_m, capfd):
    rig = built(brisk_walk, polished=False)
    choose(keys="NEEDED", error_m=error_m)
    sphere = bake()
    off = apart(shown(sphere), shown(rig, "body"))
    assert off <= error_m
    count = len(keys(sphere)[0])
    assert f": {count} keys, within {1000 * max(off, 1e-5):.2g} mm." in capfd.readouterr().out
    (frames,) = {tuple(each) for each in keys(sphere)}
    own = {
        point.co.x
        for curve in rigs.fcurves(rig)
        if curve.data_path == 'pose.bones["body"].location'
        for point in curve.keyframe_points
    }
    scene = bpy.context.scene
    assert {f for f in own if scene.frame_start <= f <= scene.frame_end} <= set(frames)
    assert {scene.frame_start, scene.frame_end} <= set(frames)
    assert {p.interpolation for c in rigs.fcurves(sphere) for p in c.keyframe_points} == {"BEZIER"}


def test_few_keys_with_rotation_and_with_time_remapped():
    rig = rigs.awkward()
    scene = bpy.context.scene
    scene.render.frame_map_old, scene.render.frame_map_new = 100, 150
    scene.unit_settings.system, scene.unit_settings.scale_length = "METRIC", 0.5
    rigs.set_range(3, 50)
    choose(keys="NEEDED", error_m=0.002, rotation=True)
    sphere = bake()
    assert apart(shown(sphere), shown(rig, "hips")) * 0.5 <= 0.002
    radius = 0.5 * sphere.dimensions.x * 0.5
    assert turned_apart(shown(sphere), shown(rig, "hips")) * radius <= 0.0025
    assert len(keys(sphere)[0]) < 30


def test_a_bounce_takes_a_key_a_contact_and_a_key_a_top(capfd):
    """A body that bounces three times at 9.81 m/s2: parabolas, which Bezier keys hold exactly. Its
    control is keyed on every frame, which says nothing of where keys belong."""
    rig, scene = rigs.biped(), bpy.context.scene
    hips = rig.pose.bones["hips"]
    for frame in range(1, 41):
        since = (frame - 1) % 13
        hips.location = (0.0, 0.5 * 9.81 / 24**2 * since * (13 - since), 0.01 * frame)
        hips.keyframe_insert("location", frame=frame)
    for point in (p for c in rigs.fcurves(rig) for p in c.keyframe_points):
        point.interpolation = "LINEAR"
    choose(keys="NEEDED")
    sphere = bake()
    assert apart(shown(sphere), shown(rig, "hips")) < 1e-5
    assert ", as its control is keyed on every frame, where the path" in capfd.readouterr().out
    frames = keys(sphere)[0]
    assert set(frames) >= {1, 14, 27, 40}
    assert len(frames) <= 10
    corners = {
        point.co.x
        for point in rigs.fcurves(sphere)[2].keyframe_points
        if point.handle_left_type == "FREE"
    }
    assert corners == {14, 27}
    assert scene.frame_end == 40


def test_baking_a_ball_that_follows_says_so_and_the_other_way_round(capfd):
    rig = rigs.biped()
    sphere = follow()
    assert sphere["plumbline_sphere_kind"] == "follow"
    assert tuple(sphere.lock_location) == (True,) * 3
    assert "plumbline_sphere_path" not in sphere
    assert "follows 'hips', live." in capfd.readouterr().out
    assert bake() == sphere
    assert "; it no longer follows the rig" in capfd.readouterr().out
    assert (len(sphere.constraints), tuple(sphere.lock_location)) == (0, (False,) * 3)
    assert sphere["plumbline_sphere_kind"] == "bake"
    assert list(sphere["plumbline_sphere_frames"]) == [1, 40]
    kept = np.array(sphere["plumbline_sphere_path"]).reshape(-1, 3)
    assert np.abs(kept - shown(rig, "hips")[:, :3, 3]).max() < LIMIT_M
    assert follow() == sphere
    assert "; the keys that it had are gone" in capfd.readouterr().out
    assert sphere.animation_data.action is None
    assert [each.name for each in bpy.data.actions] == [rig.animation_data.action.name]
    rigs.key(rig.pose.bones["hips"], "location", [(0, 0, 0), (0.5, 0.2, 0.4), (0, 1, 0.8)])
    assert apart(shown(sphere), shown(rig, "hips")) < LIMIT_M


def test_points_that_are_not_there_are_told():
    bones = {name: rigs.BIPED[name] for name in ("hips", "spine", "chest", "neck", "head")}
    bust = rigs.armature("bust", bones)
    rigs.key(bust.pose.bones["hips"], "location", [(0, 0, 0), (0, 1, 0), (0, 0, 0)])
    choose(on="COM")
    with pytest.raises(RuntimeError, match="centre of mass of 'bust' is not known, expected bones"):
        bpy.ops.plumbline.bake_sphere()
    choose(on="CONTROL")
    activate(bust)
    with pytest.raises(
        RuntimeError, match="object has no keys, expected the control that the ball"
    ):
        bpy.ops.plumbline.bake_sphere()
    bones = {"base": (None, (0, 0, 0), (0, 0, 1)), "jib": ("base", (0, 0, 1), (3, 0, 1))}
    crane = rigs.armature("crane", bones)
    rigs.key(crane.pose.bones["jib"], "location", [(0, 0, 0), (0, 1, 0), (0, 0, 0)])
    activate(crane)
    choose(on="PELVIS")
    with pytest.raises(RuntimeError, match="No pelvis was found in 'crane', expected a bone"):
        bpy.ops.plumbline.bake_sphere()
    assert [item.name for item in bpy.context.scene.objects] == ["bust", "crane"]


@pytest.mark.rigify
def test_on_a_rigify_rig(human_file):
    bpy.ops.wm.open_mainfile(filepath=str(human_file), load_ui=False)
    rig = bpy.data.objects["human"]
    torso = rig.pose.bones["torso"]
    rigs.key(torso, "location", [(0, 0, 0), (0.3, 0.1, -0.4), (0.1, 0.9, 0)])
    rigs.key(rig.pose.bones["chest"], "location", [(0, 0, 0), (0.05, 0, 0), (0, 0, 0)])
    rigs.set_range(1, 40)
    for on in ("ROOT", "PELVIS", "COM"):
        choose(on=on)
        sphere = bake()
        told = sphere["plumbline_sphere_on"].to_dict()
        assert told["control"] == "torso"
        baked = shown(sphere)
        assert apart(shown(follow()), baked) < 1e-4, on
    choose(on="ROOT", keys="NEEDED")
    sphere = bake()
    assert apart(shown(sphere), shown(rig, "torso")) < 0.005
    assert len(keys(sphere)[0]) < 8
