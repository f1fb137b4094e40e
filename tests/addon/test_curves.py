# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys read alike from every kind of action, strip and version."""

import bpy
import pytest
import rigs


@pytest.fixture
def curves_of(ext):
    return ext.addon.sampling.read_curves


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


def test_every_word_that_a_key_can_carry(ext, curves_of):
    """The codes that are read at once mean what Blender spells out key by key."""
    rig = rigs.biped()
    keyed = fcurve(ext, rig, 'pose.bones["hips"].location', 2)
    point = bpy.types.Keyframe.bl_rna.properties
    kinds = {
        name: [item.identifier for item in point[name].enum_items]
        for name in ("interpolation", "handle_left_type", "handle_right_type", "type")
    }
    count = max(map(len, kinds.values()))
    keyed.keyframe_points.add(count - len(keyed.keyframe_points))
    for number, key in enumerate(keyed.keyframe_points):
        key.co = (number + 1, 0.0)
        for name, words in kinds.items():
            setattr(key, name, words[number % len(words)])
    curve, keys = one(curves_of(rig), "hips", "location.z"), keyed.keyframe_points
    assert curve.interpolation == tuple(key.interpolation for key in keys)
    assert set(curve.interpolation) == set(kinds["interpolation"])
    assert curve.key_types == tuple(key.type for key in keys)
    assert curve.handle_types == tuple((k.handle_left_type, k.handle_right_type) for k in keys)


def test_a_rotation_tells_the_mode_of_what_is_turned(curves_of):
    rig = rigs.biped()
    hand = rig.pose.bones["hand.L"]
    hand.keyframe_insert("rotation_quaternion", frame=1)
    rig.rotation_mode = "ZXY"
    rig.keyframe_insert("rotation_euler", frame=1)
    curves = curves_of(rig)
    assert one(curves, "porter", "rotation_euler.x").rotation_mode == "ZXY"
    assert one(curves, "head", "rotation_euler.y").rotation_mode == "XYZ"
    # It is turned by Euler angles, so that these keys play nothing.
    assert one(curves, "hand.L", "rotation_quaternion.w").rotation_mode == "XYZ"
    assert one(curves, "hips", "location.z").rotation_mode == ""
