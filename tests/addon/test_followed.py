# SPDX-License-Identifier: GPL-3.0-or-later
"""Which joints, carried objects, cameras and channels a clip holds."""

import bpy
import numpy as np
import pytest
import rigs
from bpy_extras.object_utils import world_to_camera_view
from mathutils import Vector


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def test_joints_roles_and_the_anatomical_tree(sampling):
    rig = rigs.biped()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    parent = {
        name: clip.joints[p] if p >= 0 else None
        for name, p in zip(clip.joints, clip.parents, strict=True)
    }
    assert parent["hips"] is None
    assert parent["thigh.L"] == "hips"
    assert parent["hand.R"] == "forearm.R"
    assert dict(clip.meta.roles)["root"] == ("hips",)
    assert clip.meta.name == "porter"
    head = rig.data.bones["head"]
    at = clip.joint("head")
    np.testing.assert_allclose(clip.rest_positions[at], head.head_local, atol=1e-6)
    assert clip.lengths[at] == pytest.approx(head.length)
    # Y runs along the bone: the rest tail is one length away.
    from analysis import quaternions as quat

    along = quat.rotate(clip.rest_rotations[at], np.array([0.0, head.length, 0.0]))
    np.testing.assert_allclose(clip.rest_positions[at] + along, rigs.tail(head), atol=1e-6)


def test_a_rig_without_known_names_is_followed_by_its_shape(sampling):
    rig = rigs.biped()
    for number, bone in enumerate(rig.data.bones):
        bone.name = f"b{number:02}"
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert clip.meta.roles["head"]
    assert clip.meta.roles["thigh.L"]


def test_a_crane_is_followed_at_its_outline(sampling):
    crane = rigs.armature(
        "crane",
        {
            "base": (None, (0, 0, 0), (0, 0, 1)),
            "mast": ("base", (0, 0, 1), (0, 0, 4)),
            "jib": ("mast", (0, 0, 4), (3, 0, 4)),
            "hook": ("jib", (3, 0, 4), (3, 0, 2)),
            "cabin": ("base", (0, 0, 1), (0.5, 0, 1)),
        },
    )
    rigs.key(
        crane.pose.bones["mast"],
        "rotation_quaternion",
        [(1, 0, 0, 0), (0.9, 0, 0.4, 0), (1, 0, 0, 0)],
    )
    rigs.set_range(1, 40)
    (clip,) = sampling.sample(bpy.context.scene, [crane])
    assert clip.joints == ("base", "hook", "cabin")
    assert not clip.meta.roles


def test_of_a_rich_outline_what_is_keyed_stays(sampling):
    bones = {"hub": (None, (0, 0, 0), (0, 0, 1))}
    for number in range(40):
        far = 1.0 + (number != 7)
        bones[f"arm{number:02}"] = ("hub", (0, 0, 1), (far, number, 1))
        bones[f"tip{number:02}"] = (f"arm{number:02}", (far, number, 1), (far + 1, number, 1))
    fan = rigs.armature("fan", bones)
    rigs.key(fan.pose.bones["tip07"], "location", [(0, 0, 0), (0, 0, 1), (0, 0, 0)])
    rigs.set_range(1, 40)
    (clip,) = sampling.sample(bpy.context.scene, [fan])
    assert len(clip.joints) == 24
    assert {"hub", "tip07"} <= set(clip.joints)


def test_carried_objects_become_joints_with_two_ends(sampling):
    rig = rigs.biped()
    pole = rigs.boathook(rig)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    prop = clip.meta.props[0]
    assert (prop.name, prop.joint, prop.held_by) == ("boathook", "boathook", "hand.R")
    _poses, _worlds, others = rigs.real_matrices(rig, range(1, 41), [pole])
    at = clip.joint("boathook")
    np.testing.assert_array_equal(clip.positions[:, at], others[:, 0, :3, 3])
    assert clip.joints[clip.parents[at]] == "hand.R"
    assert clip.lengths[at] == pytest.approx(1.8)
    offsets = dict(zip(clip.points, clip.point_offset, strict=True))
    np.testing.assert_allclose(offsets["boathook tip"], [0, 0, 1.5], atol=1e-6)
    np.testing.assert_allclose(offsets["boathook base"], [0, 0, -0.3], atol=1e-6)


def test_named_props_are_followed_whether_held_or_not(sampling):
    rig = rigs.biped()
    pole = rigs.boathook(rig)
    crate = rigs.cube("crate")
    crate.name, crate.parent = "crate", None
    rigs.key(crate, "location", [(1, 0, 0), (2, 0, 0), (3, 0, 0)])
    (clip,) = sampling.sample(bpy.context.scene, [rig], props=[crate, pole])
    assert [(p.name, p.held_by) for p in clip.meta.props] == [
        ("boathook", "hand.R"),
        ("crate", None),
    ]
    at = clip.joint("crate")
    assert clip.parents[at] == -1
    assert np.ptp(clip.positions[:, at, 0]) == pytest.approx(2.0)
    assert sampling.sample(bpy.context.scene, [rig], props=[])[0].meta.props == ()


def test_the_camera_and_its_cuts(sampling):
    rig = rigs.biped()
    scene = bpy.context.scene
    cameras = []
    for number in range(2):
        data = bpy.data.cameras.new(f"camera {number}")
        camera = bpy.data.objects.new(f"camera {number}", data)
        scene.collection.objects.link(camera)
        camera.location = (number, -5, 1)
        camera.rotation_euler = (np.pi / 2, 0, 0)
        data.lens = 35
        data.keyframe_insert("lens", frame=1)
        data.lens = 85
        data.keyframe_insert("lens", frame=40)
        scene.timeline_markers.new(f"cut {number}", frame=1 + 20 * number).camera = camera
        cameras.append(camera)
    (clip,) = sampling.sample(scene, [rig])
    assert np.flatnonzero(clip.camera_cut).tolist() == [20]
    np.testing.assert_allclose(clip.camera_pose[0, :3, 3], [0, -5, 1], atol=1e-6)
    np.testing.assert_allclose(clip.camera_pose[39, :3, 3], [1, -5, 1], atol=1e-6)
    # The lens is keyed, so the picture narrows: focal length over half the sensor's width.
    first, last = clip.camera_projection[[0, 39], 0, 0]
    assert first == pytest.approx(35 / 18, rel=1e-3)
    assert last == pytest.approx(85 / 18, rel=1e-3)


@pytest.mark.parametrize("unit", [1.0, 0.01])
@pytest.mark.parametrize("kind", ["PERSP", "ORTHO"])
@pytest.mark.parametrize("size", [(1920, 1080), (800, 1200)])
def test_a_clip_s_points_stand_on_the_picture_where_blender_says(sampling, ext, unit, kind, size):
    rig = rigs.biped()
    scene = bpy.context.scene
    scene.unit_settings.system, scene.unit_settings.scale_length = "METRIC", unit
    scene.render.resolution_x, scene.render.resolution_y = size
    data = bpy.data.cameras.new("camera")
    data.type, data.lens, data.ortho_scale = kind, 40.0, 3.0
    data.shift_x, data.shift_y = 0.1, -0.05
    scene.camera = bpy.data.objects.new("camera", data)
    scene.collection.objects.link(scene.camera)
    scene.camera.location = (1.5, -4.0, 2.0)
    scene.camera.rotation_euler = (1.3, 0.1, 0.35)
    (clip,) = sampling.sample(scene, [rig])
    scene.frame_set(int(clip.frames[0]))
    view = [world_to_camera_view(scene, scene.camera, Vector(p / unit)) for p in clip.positions[0]]
    expected = (np.array(view)[:, :2] - 0.5) * [100.0 * size[0] / size[1], 100.0]
    places, _scale, _shows = ext.analysis.screen.picture_of(clip).seen(clip.positions)
    np.testing.assert_allclose(places[0], expected, atol=1e-3)


def test_no_camera_no_camera_arrays(sampling):
    (clip,) = sampling.sample(bpy.context.scene, [rigs.biped()])
    assert clip.camera_pose is None


def test_channels_are_the_evaluated_ones(sampling):
    rig = rigs.biped()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    column = clip.channels.index("hips|location.z")
    for number, frame in enumerate(range(1, 41)):
        bpy.context.scene.frame_set(frame)
        assert clip.channel_values[number, column] == np.float32(rig.pose.bones["hips"].location.z)


def test_carried_objects_that_share_names_with_bones_and_each_other(sampling):
    rig = rigs.biped()
    for name in ("hand.R", "hand.R (object)"):
        rigs.boathook(rig).name = name
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert clip.joints[-2:] == ("hand.R (object)", "hand.R (object) (object)")
    assert len(set(clip.points)) == len(clip.points) == 4
