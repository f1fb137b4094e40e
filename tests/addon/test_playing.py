# SPDX-License-Identifier: GPL-3.0-or-later
"""Only curves that play are read, on the scene frames where their keys play."""

import bpy
import numpy as np
import pytest
import rigs


@pytest.fixture
def curves_of(ext):
    return ext.addon.sampling.read_curves


def read_and_played(curves_of, rig):
    """What is read, checked against what Blender gives at the frames that are told."""
    curves = curves_of(rig)
    for curve in curves:
        if curve.control == "hips":
            for frame, value in zip(curve.frames, curve.values, strict=True):
                bpy.context.scene.frame_set(int(frame), subframe=frame % 1.0)
                seen = rig.evaluated_get(bpy.context.evaluated_depsgraph_get())
                played = seen.pose.bones["hips"].location[curve.index]
                assert played == pytest.approx(value, abs=1e-3)
    return {(curve.control, curve.strip) for curve in curves}


def with_two_strips():
    """The hips move in the lower strip, the neck in the upper one."""
    rig = rigs.biped()
    for curve in rigs.fcurves(rig):
        curve.mute = "hips" not in curve.data_path
    lower = rigs.push_to_strip(rig, start=11, scale=2.0)
    rigs.key(rig.pose.bones["neck"], "location", [(0, 0, 0), (1, 0, 0), (2, 0, 0)])
    return rig, lower, rigs.push_to_strip(rig)


def test_keys_in_remapped_time(ext):
    rig, scene = rigs.biped(), bpy.context.scene
    scene.render.frame_map_old, scene.render.frame_map_new = 100, 200
    (clip,) = ext.addon.sampling.sample(scene, [rig], first=1, last=80)
    (curve,) = [c for c in clip.meta.curves if (c.control, c.channel) == ("hips", "location.z")]
    assert curve.frames == (2.0, 40.0, 80.0)
    assert curve.action_frames == (1.0, 20.0, 40.0)
    values = clip.channel_values[:, clip.channels.index("hips|location.z")]
    for frame, value in zip(curve.frames, curve.values, strict=True):
        assert values[clip.frames.tolist().index(frame)] == pytest.approx(value, abs=1e-6)


def test_muted_curves_and_groups(curves_of):
    rig = rigs.biped()
    for curve in rigs.fcurves(rig):
        curve.mute = "hips" in curve.data_path
        if "head" in curve.data_path:
            if curve.group is None:  # before 4.5, keys from Python have none
                curve.group = rig.animation_data.action.groups.new("head")
            curve.group.mute = True
    controls = {curve.control for curve in curves_of(rig)}
    assert "thigh.L" in controls
    assert not controls & {"hips", "head"}


def test_curves_of_bones_that_are_gone(ext, curves_of):
    rig = rigs.biped()
    for curve in rigs.fcurves(rig):
        curve.data_path = curve.data_path.replace("hips", "gone")
    assert "gone" not in {curve.control for curve in curves_of(rig)}
    ext.addon.sampling.sample(bpy.context.scene, [rig])


def test_a_solo_track_silences_the_rest(curves_of):
    rig, lower, upper = with_two_strips()
    assert read_and_played(curves_of, rig) == {("hips", lower.name), ("neck", upper.name)}
    rig.animation_data.nla_tracks[0].is_solo = True
    assert read_and_played(curves_of, rig) == {("hips", lower.name)}
    action, slot = lower.action, getattr(lower, "action_slot", None)
    rig.animation_data.action = action
    if slot is not None:
        rig.animation_data.action_slot = slot
    assert read_and_played(curves_of, rig) == {("hips", lower.name)}
    rig.animation_data.nla_tracks[0].is_solo = False
    assert ("hips", None) in {(c.control, c.strip) for c in curves_of(rig)}


def test_with_the_nla_off_strips_rest(curves_of):
    rig, _lower, _upper = with_two_strips()
    rig.animation_data.use_nla = False
    assert curves_of(rig) == ()


def test_a_tweaked_strip_is_read_once_and_what_lies_above_it_rests(curves_of):
    rig, lower, _upper = with_two_strips()
    data = rig.animation_data
    data.nla_tracks.active = data.nla_tracks[0]
    data.nla_tracks[0].select = lower.select = True
    data.use_tweak_mode = True
    assert data.use_tweak_mode
    assert data.action == lower.action
    assert read_and_played(curves_of, rig) == {("hips", lower.name)}
    assert len([c for c in curves_of(rig) if c.channel == "location.z"]) == 1


def test_an_action_without_its_slot_plays_nothing(curves_of):
    rig = rigs.biped()
    if not hasattr(rig.animation_data, "action_slot"):
        pytest.skip("actions have no slots in this version")
    rig.animation_data.action_slot = None
    assert curves_of(rig) == ()


def test_a_strip_with_a_keyed_time_is_left_out(curves_of):
    rig = rigs.biped()
    strip = rigs.push_to_strip(rig)
    assert curves_of(rig)
    strip.use_animated_time = True
    assert curves_of(rig) == ()


def test_channels_of_the_object_and_of_every_kind(ext):
    """Object, custom properties, arrays of them, axis and angle, influences: all that is keyed."""
    rig, scene = rigs.biped(), bpy.context.scene
    hand, head = rig.pose.bones["hand.L"], rig.pose.bones["head"]
    hand.rotation_mode = "AXIS_ANGLE"
    limit = head.constraints.new("LIMIT_ROTATION")
    hand["IK"], hand["two"] = 0.0, [0.0, 0.0]
    rig["mood"] = 1
    rigs.key(rig, "location", [(0, 0, 0), (0, 0, 5), (0, 0, 9)])
    rigs.key(rig, "delta_location", [(0, 0, 0), (1, 0, 0), (0, 2, 0)])
    rigs.key(hand, "rotation_axis_angle", [(0, 1, 0, 0), (1, 0, 1, 0), (0, 1, 0, 0)])
    rigs.key(limit, "influence", [0.0, 1.0, 0.3])
    rigs.key(rig, "show_in_front", [True, False, True])
    rigs.key(head, "rotation_mode", ["XYZ", "XYZ", "XYZ"])
    for frame, value in ((1, 0.0), (40, 1.0)):
        hand["IK"], hand["two"], rig["mood"] = value, [value, -value], int(value * 3)
        for owner, path in ((hand, '["IK"]'), (hand, '["two"]'), (rig, '["mood"]')):
            owner.keyframe_insert(path, frame=frame)
    (clip,) = ext.addon.sampling.sample(scene, [rig])
    keyed = {f"{c.control}|{c.channel}": c for c in clip.meta.curves}
    assert set(keyed) - set(clip.channels) == {"head|rotation_mode"}
    for name in ("porter|location.z", 'hand.L|["two"][1]', "porter|show_in_front"):
        assert name in clip.channels
    for frame in (1, 13, 40):
        scene.frame_set(frame)
        for name, value in zip(clip.channels, clip.channel_values[frame - 1], strict=True):
            real = rig.path_resolve(keyed[name].data_path)
            real = real[keyed[name].index] if hasattr(real, "__len__") else real
            assert value == real, name


def test_the_object_is_a_control(ext):
    rig = rigs.armature("porter", rigs.BIPED)
    rigs.key(rig, "location", [(0, 0, 0), (0, 1, 0), (0, 2, 0)])
    rig.rotation_euler = (0.0, 0.3, 0.0)
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig], first=1, last=40)
    assert clip.meta.controls == ("porter",)
    assert clip.channels == ("porter|location.x", "porter|location.y", "porter|location.z")
    bpy.context.scene.frame_set(20)
    np.testing.assert_array_equal(clip.control_matrices[19, 0], np.array(rig.matrix_world))
