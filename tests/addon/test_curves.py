# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys read alike from every kind of action, strip and version."""

import bpy
import numpy as np
import pytest
import rigs


@pytest.fixture
def curves_of(ext):
    return ext.addon.sampling.read_curves


@pytest.fixture
def plays_as_cycle(ext):
    def at_24_fps(rig, curves, first, last):
        return ext.addon.sampling.curves.plays_as_cycle(rig, curves, first, last, fps=24.0)

    return at_24_fps


def one(curves, control, channel):
    (found,) = [c for c in curves if (c.control, c.channel) == (control, channel)]
    return found


def fcurve(ext, rig, path, index):
    data = rig.animation_data
    found = ext.addon.sampling.curves.action_fcurves(
        data.action, getattr(data, "action_slot", None)
    )
    (curve,) = [c for c in found if (c.data_path, c.array_index) == (path, index)]
    return curve


def test_keys_values_handles_and_types(ext, curves_of):
    rig = rigs.biped()
    keyed = fcurve(ext, rig, 'pose.bones["hips"].location', 2)
    point = keyed.keyframe_points[1]
    point.interpolation, point.type = "LINEAR", "BREAKDOWN"
    point.handle_left_type = point.handle_right_type = "VECTOR"
    keyed.update()
    curve = one(curves_of(rig), "hips", "location.z")
    assert curve.frames == curve.action_frames == (1.0, 20.0, 40.0)
    assert curve.values == pytest.approx((0.0, 0.4, 0.8))
    assert curve.interpolation == ("BEZIER", "LINEAR", "BEZIER")
    assert curve.key_types == ("KEYFRAME", "BREAKDOWN", "KEYFRAME")
    assert curve.handle_types[1] == ("VECTOR", "VECTOR")
    handle = keyed.keyframe_points[1].handle_left
    assert curve.handle_left[1] == pytest.approx(tuple(handle))
    assert curve.data_path == 'pose.bones["hips"].location'
    assert curve.strip is None
    assert curve.action == rig.animation_data.action.name


def test_names_with_quotes_and_backslashes(curves_of):
    rig = rigs.biped()
    rig.data.bones["head"].name = 'he"a\\d'
    bone = rig.pose.bones['he"a\\d']
    bone.keyframe_insert("location", frame=3)
    assert {c.channel for c in curves_of(rig) if c.control == 'he"a\\d'} >= {"location.x"}


def test_object_channels_and_custom_properties(curves_of):
    rig = rigs.biped()
    rig.keyframe_insert("location", frame=1)
    bone = rig.pose.bones["hand.L"]
    bone["IK_FK"] = 0.5
    bone.keyframe_insert('["IK_FK"]', frame=1)
    curves = curves_of(rig)
    assert one(curves, "porter", "location.x").data_path == "location"
    assert one(curves, "hand.L", '["IK_FK"]').values == (0.5,)


@pytest.mark.parametrize("scale", [1.0, 1.7])
def test_strips_are_read_in_scene_time(curves_of, scale):
    rig = rigs.biped()
    strip = rigs.push_to_strip(rig, scale=scale, start=11)
    curve = one(curves_of(rig), "hips", "location.z")
    assert curve.strip == strip.name
    assert curve.action_frames == (1.0, 20.0, 40.0)
    assert curve.frames == pytest.approx([11 + (f - 1) * scale for f in (1, 20, 40)])


def test_strip_time_is_where_the_pose_really_is(curves_of):
    rig = rigs.biped()
    rigs.push_to_strip(rig, scale=1.7, start=11)
    curve = one(curves_of(rig), "hips", "location.z")
    for frame, value in zip(curve.frames, curve.values, strict=True):
        bpy.context.scene.frame_set(int(frame), subframe=frame % 1.0)
        assert rig.pose.bones["hips"].location.z == pytest.approx(value, abs=1e-3)


def test_a_reversed_strip_and_a_muted_one(curves_of):
    rig = rigs.biped()
    strip = rigs.push_to_strip(rig)
    strip.use_reverse = True
    assert one(curves_of(rig), "hips", "location.z").frames == pytest.approx((40.0, 21.0, 1.0))
    strip.mute = True
    assert curves_of(rig) == ()


def test_no_animation_no_curves(curves_of):
    assert curves_of(rigs.armature("still", rigs.BIPED)) == ()


def make_cyclic(ext, rig):
    data = rig.animation_data
    for curve in ext.addon.sampling.curves.action_fcurves(
        data.action, getattr(data, "action_slot", None)
    ):
        curve.modifiers.new("CYCLES")


def test_cycles_modifiers_and_the_action_s_own_flag(ext, curves_of, plays_as_cycle):
    rig = rigs.biped()
    assert plays_as_cycle(rig, curves_of(rig), 1, 39) is None
    make_cyclic(ext, rig)
    curves = curves_of(rig)
    assert all(curve.cyclic for curve in curves)
    # Keys on 1 and 40 make a round of 39 frames; a 40th frame is the repeated one.
    assert plays_as_cycle(rig, curves, 1, 39) is True
    assert plays_as_cycle(rig, curves, 1, 40) is True
    assert plays_as_cycle(rig, curves, 1, 78) is True
    assert plays_as_cycle(rig, curves, 1, 45) is True  # six frames too many: a quarter second
    assert plays_as_cycle(rig, curves, 1, 46) is None
    assert plays_as_cycle(rig, curves, 1, 60) is None
    action = rig.animation_data.action
    action.use_frame_range, action.use_cyclic = True, True
    action.frame_start, action.frame_end = 1, 21
    assert plays_as_cycle(rig, curves, 1, 20) is True
    assert plays_as_cycle(rig, curves, 1, 30) is None


def test_the_clip_carries_curves_and_the_cycle(ext):
    rig = rigs.biped()
    make_cyclic(ext, rig)
    rigs.set_range(1, 39)
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    assert clip.meta.cycle is True
    assert one(clip.meta.curves, "hips", "location.z").cyclic
    again = type(clip.meta).from_json(clip.meta.to_json())
    assert again.curves == clip.meta.curves


def moved_by(rig, control):
    """The bones whose pose changes when a control is shifted and turned."""
    bone = rig.pose.bones[control]
    before = [np.array(each.matrix) for each in rig.pose.bones]
    bone.location, bone.rotation_mode = (0.05, 0.04, 0.03), "XYZ"
    bone.rotation_euler = (0.2, 0.1, 0.15)
    bpy.context.view_layer.update()
    after = [np.array(each.matrix) for each in rig.pose.bones]
    moved = [np.abs(a - b).max() > 1e-5 for a, b in zip(after, before, strict=True)]
    return {each.name for each, did in zip(rig.pose.bones, moved, strict=True) if did}


def leg_with_a_goal():
    """A biped whose left leg follows a goal bone by IK, and whose right hand copies it."""
    goal = {"goal": (None, (0.1, -0.1, 0.1), (0.1, -0.3, 0.1))}
    rig = rigs.armature("porter", {**rigs.BIPED, **goal})
    ik = rig.pose.bones["shin.L"].constraints.new("IK")
    ik.target, ik.subtarget, ik.chain_count = rig, "goal", 2
    copy = rig.pose.bones["hand.R"].constraints.new("ARMATURE")
    for name, weight in (("goal", 1.0), ("head", 0.0)):
        target = copy.targets.new()
        target.target, target.subtarget, target.weight = rig, name, weight
    driver = rig.pose.bones["head"].driver_add("rotation_euler", 0).driver
    rig.pose.bones["head"].rotation_mode = "XYZ"
    variable = driver.variables.new()
    variable.name, variable.type = "lift", "TRANSFORMS"
    variable.targets[0].id, variable.targets[0].bone_target = rig, "goal"
    variable.targets[0].transform_type = "LOC_X"
    driver.type, driver.expression = "SCRIPTED", "lift"
    bpy.context.view_layer.update()
    return rig


@pytest.mark.parametrize("control", ["goal", "hips", "chest", "head", "upper_arm.L"])
def test_what_a_control_drives_is_what_moves_with_it(ext, control):
    rig = leg_with_a_goal()
    assert ext.addon.sampling.reach.Reach(rig).of(control) == moved_by(rig, control)


def test_the_clip_says_what_its_controls_drive(ext):
    rig = rigs.biped()
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    drives = {curve.control: set(curve.drives) for curve in clip.meta.curves}
    assert drives["hips"] == set(clip.joints)
    assert drives["thigh.L"] == {"thigh.L", "shin.L", "foot.L"}
    assert drives["head"] == {"head"}
