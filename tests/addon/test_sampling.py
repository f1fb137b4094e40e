# SPDX-License-Identifier: GPL-3.0-or-later
"""Sampling equals stepping the real scene, bit for bit, and changes nothing."""

import bpy
import numpy as np
import pytest
import rigs
from digest import difference, digest

from analysis import PlumblineError


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def assert_same_bits(clip, rig, frames, unit=1.0):
    """The clip's joints and controls against a loop over the real scene."""
    poses, worlds, _others = rigs.real_matrices(rig, frames)
    place = {bone.name: n for n, bone in enumerate(rig.pose.bones)}
    bones = [place[name] for name in clip.joints if name in place]
    expected = worlds[:, None] @ poses[:, bones]
    np.testing.assert_array_equal(clip.positions[:, : len(bones)], expected[..., :3, 3] * unit)
    controls = worlds[:, None] @ poses[:, [place[name] for name in clip.meta.controls]]
    np.testing.assert_array_equal(clip.control_matrices[..., :3, :3], controls[..., :3, :3])


def assert_all_bones_equal(ext, rig, frames):
    """Every bone of the rig, not only those that are followed."""
    stages = ext.addon.sampling.stages
    got = []
    with stages.temporary_stage(bpy.context.scene, [rig]) as stage:
        for frame in frames:
            seen = rig.evaluated_get(stage.go(int(frame), float(frame) % 1.0))
            flat = np.zeros(len(seen.pose.bones) * 16, dtype=np.float32)
            seen.pose.bones.foreach_get("matrix", flat)
            got.append(flat.reshape(-1, 4, 4).transpose(0, 2, 1))
    poses, _worlds, _others = rigs.real_matrices(rig, frames)
    np.testing.assert_array_equal(np.array(got), poses)


@pytest.mark.parametrize("build", [rigs.biped, rigs.awkward])
def test_the_same_bits_as_the_real_scene(ext, sampling, build):
    rig = build()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert_same_bits(clip, rig, range(1, 41))
    assert_all_bones_equal(ext, rig, [1, 2, 7.5, 13, 13.25, 40])


def test_every_kind_of_hidden_rig_is_evaluated(ext, sampling):
    rig = rigs.awkward()
    (shown,) = sampling.sample(bpy.context.scene, [rig])
    hidden = bpy.data.collections.new("hidden")
    bpy.context.scene.collection.children.link(hidden)
    hidden.objects.link(rig)
    bpy.context.scene.collection.objects.unlink(rig)
    for hide in ("viewport", "collection", "exclude", "eye"):
        layer = bpy.context.view_layer.layer_collection.children["hidden"]
        rig.hide_viewport = hide == "viewport"
        hidden.hide_viewport = hide == "collection"
        layer.exclude = hide == "exclude"
        if hide == "eye":
            rig.hide_set(True)
        (clip,) = sampling.sample(bpy.context.scene, [rig])
        np.testing.assert_array_equal(clip.positions, shown.positions, err_msg=hide)


def test_time_remapping_and_frame_rate(sampling):
    rig = rigs.biped()
    scene = bpy.context.scene
    scene.render.fps, scene.render.fps_base = 24, 1.001
    scene.render.frame_map_old, scene.render.frame_map_new = 100, 50
    (clip,) = sampling.sample(scene, [rig])
    assert clip.fps == pytest.approx(23.976, abs=1e-3)
    assert_same_bits(clip, rig, range(1, 41))


def test_unit_scale_and_object_scale(sampling):
    rig = rigs.biped()
    (plain,) = sampling.sample(bpy.context.scene, [rig])
    bpy.context.scene.unit_settings.scale_length = 0.01
    rig.scale = (100.0, 100.0, 100.0)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    np.testing.assert_allclose(clip.positions, plain.positions, atol=1e-5)
    np.testing.assert_allclose(clip.lengths, plain.lengths, atol=1e-6)
    np.testing.assert_allclose(clip.rest_positions, plain.rest_positions, atol=1e-5)
    same = np.abs(np.sum(clip.rotations * plain.rotations, axis=-1))
    np.testing.assert_allclose(same, 1.0, atol=1e-6)


def test_the_range_is_the_one_that_plays(sampling):
    rig = rigs.biped()
    scene = bpy.context.scene
    scene.frame_start, scene.frame_end = 5, 20
    assert sampling.sample(scene, [rig])[0].frames[[0, -1]].tolist() == [5, 20]
    scene.use_preview_range = True
    scene.frame_preview_start, scene.frame_preview_end = 8, 12
    assert sampling.sample(scene, [rig])[0].frames.tolist() == [8, 9, 10, 11, 12]
    clip = sampling.sample(scene, [rig], first=-3, last=2)[0]
    assert clip.frames[[0, -1]].tolist() == [-3, 2]
    with pytest.raises(PlumblineError, match="fewer than two frames"):
        sampling.sample(scene, [rig], first=5, last=5)
    with pytest.raises(PlumblineError, match="not in whole frames"):
        sampling.sample(scene, [rig], first=1.5, last=5)


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


@pytest.mark.parametrize("hide", ["viewport", "eye"])
def test_a_hidden_carried_object_is_followed(sampling, hide):
    rig = rigs.biped()
    pole = rigs.boathook(rig)
    rigs.key(pole, "location", [(0, 0, 0), (0, 0, 0.5), (0, 0, 0)])
    (shown,) = sampling.sample(bpy.context.scene, [rig])
    assert np.ptp(shown.positions[:, shown.joint("boathook")], axis=0).max() > 0.4
    if hide == "eye":
        pole.hide_set(True)
    else:
        pole.hide_viewport = True
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    np.testing.assert_array_equal(clip.positions, shown.positions)


def test_several_rigs_in_one_pass(sampling, ext, monkeypatch):
    one, two = rigs.biped("one"), rigs.awkward()
    steps = []
    go = ext.addon.sampling.stages.Stage.go

    def counted(self, frame, subframe=0.0):
        steps.append(frame)
        return go(self, frame, subframe)

    monkeypatch.setattr(ext.addon.sampling.stages.Stage, "go", counted)
    first, second = sampling.sample(bpy.context.scene, [one, two])
    assert (first.meta.name, second.meta.name) == ("one", "awkward")
    assert steps == list(range(1, 41))  # each frame once, for all rigs
    monkeypatch.undo()
    assert_same_bits(first, one, range(1, 41))
    assert_same_bits(second, two, range(1, 41))


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


def unkeyed_edits(rig):
    """A user in the middle of work: pose mode, a selection, an odd frame, unkeyed edits."""
    scene = bpy.context.scene
    scene.frame_set(17, subframe=0.25)
    bpy.context.view_layer.objects.active = rig
    rig.select_set(True)
    bpy.ops.object.mode_set(mode="POSE")
    rig.pose.bones["head"].rotation_euler = (0.7, 0.1, 0.2)
    rig.pose.bones["hand.L"].location = (0.1, 0.2, 0.3)
    bpy.context.view_layer.update()


@pytest.mark.parametrize("build", [rigs.biped, rigs.awkward])
def test_nothing_changes(sampling, build):
    rig = build()
    rigs.boathook(rig)
    unkeyed_edits(rig)
    before = digest()
    assert len(before) > 1000
    sampling.sample(bpy.context.scene, [rig])
    assert difference(before, digest()) == {}
    assert bpy.context.mode == "POSE"


def test_the_digest_sees_what_a_check_must_not_do():
    rig = rigs.biped()
    unkeyed_edits(rig)
    before = digest()
    changes = (
        lambda: setattr(rig.pose.bones["head"], "rotation_euler", (0, 0, 0)),
        lambda: bpy.context.scene.frame_set(18),
        lambda: bpy.ops.object.mode_set(mode="OBJECT"),
        lambda: rig.select_set(False),
        lambda: bpy.data.objects.new("left over", None),
    )
    for change in changes:
        change()
        after = digest()
        assert difference(before, after)
        before = after


def test_nothing_changes_when_sampling_fails(sampling, ext, monkeypatch):
    rig = rigs.biped()
    unkeyed_edits(rig)
    before = digest()

    def fail(*_args):
        raise PlumblineError("stop here")

    monkeypatch.setattr(ext.addon.sampling.reader.RigReader, "read", fail)
    with pytest.raises(PlumblineError, match="stop here"):
        sampling.sample(bpy.context.scene, [rig])
    assert difference(before, digest()) == {}


def scene_driver(owner, path, index, *, context):
    """Drive by a keyed property of the scene; by way of the active scene with `context`."""
    scene = bpy.context.scene
    scene["wind"] = 0.5
    scene.keyframe_insert('["wind"]', frame=1)
    scene["wind"] = 1.5
    scene.keyframe_insert('["wind"]', frame=40)
    driver = owner.driver_add(path, index).driver
    variable = driver.variables.new()
    variable.name = "wind"
    if context:
        variable.type = "CONTEXT_PROP"
        variable.targets[0].context_property = "ACTIVE_SCENE"
    else:
        variable.targets[0].id_type = "SCENE"
        variable.targets[0].id = scene
    variable.targets[0].data_path = '["wind"]'
    driver.type, driver.expression = "SCRIPTED", "wind"


def sampled_exactly(sampling, rig):
    """A clip that is what the scene gives, taken without a trace in the scene."""
    unkeyed_edits(rig)
    before = digest()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert difference(before, digest()) == {}
    bpy.ops.object.mode_set(mode="OBJECT")
    assert_same_bits(clip, rig, range(1, 41))
    return clip


@pytest.mark.parametrize("context", [True, False])
def test_drivers_that_read_the_scene(sampling, context):
    rig = rigs.biped()
    scene_driver(rig.pose.bones["chest"], "rotation_euler", 0, context=context)
    clip = sampled_exactly(sampling, rig)
    turned = np.ptp(
        clip.positions[:, clip.joint("head")] - clip.positions[:, clip.joint("hips")], axis=0
    )
    assert turned.max() > 0.05


def far_target(rig, reach):
    """An empty that a bone follows by way of `reach`; something else is to move the empty."""
    far = bpy.data.objects.new("far", None)
    bpy.context.scene.collection.objects.link(far)
    if reach == "constraint":
        constraint = rig.pose.bones["hand.L"].constraints.new("COPY_LOCATION")
        constraint.target = far
    elif reach == "parent":
        rig.parent = far
    elif reach == "driver":
        driver = rig.pose.bones["chest"].driver_add("rotation_euler", 0).driver
        variable = driver.variables.new()
        variable.name, variable.type = "far", "TRANSFORMS"
        variable.targets[0].id = far
        driver.type, driver.expression = "SCRIPTED", "far"
    else:
        between = rigs.armature("between", {"b": (None, (0, 0, 0), (0, 0, 1))})
        between.pose.bones["b"].constraints.new("COPY_LOCATION").target = far
        armature = rig.pose.bones["hand.R"].constraints.new("ARMATURE")
        target = armature.targets.new()
        target.target, target.subtarget = between, "b"
    return far


@pytest.mark.parametrize("reach", ["constraint", "parent", "driver", "another rig"])
def test_a_scene_driver_is_found_however_far_away(sampling, reach):
    rig = rigs.biped()
    far = far_target(rig, reach)
    scene_driver(far, "location", 2, context=False)
    sampled_exactly(sampling, rig)


def test_why_a_temporary_scene_does_not_do(ext):
    why = ext.addon.sampling.exactness.why_not_exact
    scene, rig = bpy.context.scene, rigs.biped()
    assert why(scene, [rig]) == ""
    crate = rigs.cube("crate")
    rig.pose.bones["hand.L"].constraints.new("COPY_LOCATION").target = crate
    assert why(scene, [rig]) == ""
    crate.modifiers.new("sag", "SOFT_BODY")
    assert "a simulation deforms 'crate'" in why(scene, [rig])
    assert why(scene, [], placed=[crate]) == ""
    crate.modifiers.clear()
    bpy.ops.rigidbody.world_add()
    with bpy.context.temp_override(object=crate, active_object=crate, selected_objects=[crate]):
        bpy.ops.rigidbody.object_add(type="ACTIVE")
    assert why(scene, [rig]) == "the rigid body 'crate' moves what is followed"
    crate.rigid_body.type = "PASSIVE"
    assert why(scene, [rig]) == ""


def test_a_falling_crate_pulls_the_hand_as_in_the_scene(sampling):
    rig, crate = rigs.biped(), rigs.cube("crate")
    rig.pose.bones["hand.L"].constraints.new("COPY_LOCATION").target = crate
    bpy.ops.rigidbody.world_add()
    with bpy.context.temp_override(object=crate, active_object=crate, selected_objects=[crate]):
        bpy.ops.rigidbody.object_add(type="ACTIVE")
    (clip,) = sampling.sample(bpy.context.scene, [rig], first=1, last=20)
    fallen = clip.positions[:, clip.joint("hand.L"), 2]
    assert fallen[0] - fallen[-1] > 1.0


def test_frame_handlers_of_others_do_not_run(sampling):
    rig, seen = rigs.biped(), []

    def meddle(scene, _depsgraph=None):
        seen.append(scene.name)

    def other(scene, _depsgraph=None):
        seen.append(scene.name)

    lists = (bpy.app.handlers.frame_change_pre, bpy.app.handlers.frame_change_post)
    for each in lists:
        each += [meddle, other]
    try:
        before = [list(each) for each in lists]
        sampling.sample(bpy.context.scene, [rig])
        assert seen == []
        assert [list(each) for each in lists] == before
        bpy.context.scene.frame_set(3)
        assert seen
    finally:
        for each in lists:
            each.remove(meddle)
            each.remove(other)


def test_a_pose_without_numbers_is_told_in_a_sentence(sampling):
    rig = rigs.biped()
    rigs.drive(rig.pose.bones["head"], "location", 0, "float('nan')")
    try:
        (clip,) = sampling.sample(bpy.context.scene, [rig])
    except PlumblineError as error:
        assert "no position for" in str(error)
    else:  # Blender may refuse the value itself
        assert np.isfinite(clip.positions).all()
