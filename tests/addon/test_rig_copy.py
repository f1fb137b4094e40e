# SPDX-License-Identifier: GPL-3.0-or-later
"""A rig copied without its keys stands as the rig does, and answers what would be."""

import bpy
import numpy as np
import pytest
import rigs
from added import overridden
from command_line import save
from copied import assert_same, assert_stands_as_the_clip, planned, posed, rig_copy
from digest import difference, digest
from sampled import scene_driver, unkeyed_edits
from stepped import built

from analysis import PlumblineError
from analysis.trials import Trial
from demo_scenes.porter import brisk_walk


@pytest.mark.parametrize("build", [rigs.biped, rigs.awkward])
def test_it_stands_as_the_rig_does(ext, build):
    rig = build()
    unkeyed_edits(rig)
    assert_stands_as_the_clip(ext, rig)


def blended():
    """Two strips that blend, one above the other, under a driver and a keyed constraint."""
    rig = rigs.biped()
    rigs.push_to_strip(rig, scale=1.3)
    bones = rig.pose.bones
    rigs.key(bones["hips"], "location", [(0.1, 0, 0), (0, 0.3, 0.1), (0, 0, 0)])
    bones["chest"].rotation_mode = "QUATERNION"
    rigs.key(bones["chest"], "rotation_quaternion", [(1, 0, 0, 0), (0.8, 0.3, 0, 0), (1, 0, 0, 0)])
    strip = rigs.push_to_strip(rig, start=5)
    strip.blend_type, strip.blend_in, strip.influence = "COMBINE", 6.0, 0.7
    follow = bones["hand.L"].constraints.new("COPY_LOCATION")
    follow.target, follow.subtarget = rig, "head"
    rigs.key(follow, "influence", [0.0, 1.0, 0.3])
    bones["hand.L"]["reach"] = 2
    rigs.key_item(bones["hand.L"], "reach", [2, 5, 1])
    rigs.key(rig, "location", [(0, 0, 0), (0.4, 0, 0), (0, 0.2, 0)])
    rigs.drive(bones["neck"], "rotation_euler", 0, "frame * 0.01")
    driver = bones["forearm.L"].driver_add("rotation_euler", 2).driver
    variable = driver.variables.new()
    variable.name, driver.expression = "reach", "reach * 0.1"
    variable.targets[0].id = rig
    variable.targets[0].data_path = 'pose.bones["hand.L"]["reach"]'
    return rig


def repeating():
    """An action of ten frames that goes round and round."""
    rig = rigs.biped()
    bone = rig.pose.bones["spine"]
    rigs.key(bone, "rotation_euler", [(0, 0, 0), (0.3, 0, 0.2), (0, 0, 0)], frames=(1, 6, 11))
    for curve in rigs.fcurves(rig):
        if "spine" in curve.data_path:
            curve.modifiers.new("CYCLES")
    return rig


@pytest.mark.parametrize("build", [blended, repeating])
def test_whatever_animates_it(ext, build):
    rig = build()
    clip = assert_stands_as_the_clip(ext, rig)
    assert set(clip.meta.controls) >= {"hips", "head"}


def test_time_that_is_remapped(ext):
    rig = rigs.awkward()
    render = bpy.context.scene.render
    render.frame_map_old, render.frame_map_new = 100, 170
    assert_stands_as_the_clip(ext, rig)


def test_the_porter(ext):
    rig = built(brisk_walk, polished=False)
    assert_same(*posed(ext, rig), rig)


def test_a_linked_rig(ext, tmp_path):
    rigs.biped()
    library = save(tmp_path / "library.blend")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(str(library), link=True) as (_found, wanted):
        wanted.objects = ["porter"]
    bpy.context.scene.collection.objects.link(wanted.objects[0])
    rigs.set_range(1, 40)
    assert_stands_as_the_clip(ext, wanted.objects[0])


def test_an_overridden_rig(ext, tmp_path):
    rigs.biped()
    rig = overridden(tmp_path)
    rigs.set_range(1, 40)
    assert_stands_as_the_clip(ext, rig)


def test_a_tweaked_strip(ext):
    rig = rigs.biped()
    rigs.push_to_strip(rig)
    track = rig.animation_data.nla_tracks[0]
    track.select = track.strips[0].select = True
    rig.animation_data.nla_tracks.active = track
    rig.animation_data.use_tweak_mode = True
    assert rig.animation_data.use_tweak_mode
    assert_stands_as_the_clip(ext, rig)
    assert rig.animation_data.use_tweak_mode


def test_a_trial_is_what_the_key_would_do(ext):
    """Against the scene itself, in which the curve has that value."""
    rig = rigs.awkward()
    answer, clip = posed(ext, rig, [18, 19, 20], ["hips|location.z"], [[0.5], [0.6], [0.7]])
    samples = answer.samples
    strip = rig.animation_data.nla_tracks[0].strips[0]
    rig.animation_data.nla_tracks.active = rig.animation_data.nla_tracks[0]
    for curve in ext.addon.sampling.curves.action_fcurves(
        strip.action, getattr(strip, "action_slot", None)
    ):
        if curve.data_path.endswith('["hips"].location') and curve.array_index == 2:
            for at, value in ((18, 0.5), (19, 0.6), (20, 0.7)):
                time = strip.action_frame_start + (at + 1 - strip.frame_start) / strip.scale
                curve.keyframe_points.insert(time, value).interpolation = "LINEAR"
            curve.update()
    (wanted,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    np.testing.assert_allclose(answer.positions, wanted.positions[samples], atol=2e-6)
    moved = np.linalg.norm(answer.positions - clip.positions[samples], axis=-1)
    assert moved.max() > 0.05


def hand_on_its_own_chest():
    """An empty on the chest closes a loop: the left hand follows it."""
    rig = rigs.biped()
    pin = bpy.data.objects.new("pin", None)
    bpy.context.scene.collection.objects.link(pin)
    pin.parent, pin.parent_type, pin.parent_bone = rig, "BONE", "chest"
    rigs.key(pin, "location", [(0.1, 0.1, 0), (0.2, 0.0, 0.1), (0, 0, 0)])
    follow = rig.pose.bones["forearm.L"].constraints.new("IK")
    follow.target, follow.chain_count = pin, 2
    bpy.context.view_layer.update()
    return rig


def test_what_closes_a_loop_is_copied_too(ext):
    rig = hand_on_its_own_chest()
    unkeyed_edits(rig)
    assert_stands_as_the_clip(ext, rig)
    bpy.ops.object.mode_set(mode="OBJECT")
    answer, clip = posed(ext, rig, [10], ["hips|location.x"], [[0.3]])
    was = clip.positions[10, answer.joints]
    shift = 0.3 - clip.channel_values[10, clip.channels.index("hips|location.x")]
    moved = answer.positions[0] - was
    np.testing.assert_allclose(moved, np.broadcast_to([shift, 0, 0], was.shape), atol=1e-5)


def test_a_linked_rig_in_a_loop_is_refused_in_a_sentence(ext, tmp_path):
    hand_on_its_own_chest()
    library = save(tmp_path / "library.blend")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(str(library), link=True) as (_found, wanted):
        wanted.objects = ["porter"]
    bpy.context.scene.collection.objects.link(wanted.objects[0])
    rigs.set_range(1, 40)
    with pytest.raises(PlumblineError, match="is linked and follows"):
        posed(ext, wanted.objects[0])


def test_a_temporary_folder_that_takes_nothing(ext, monkeypatch, tmp_path):
    rig = hand_on_its_own_chest()
    of = planned(ext, rig)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "nowhere"))
    before = digest()
    with pytest.raises(PlumblineError, match="cannot be written"):
        posed(ext, rig, of=of)
    assert difference(before, digest()) == {}


def test_a_plain_object_is_posed_too(ext):
    box = rigs.cube("crate")
    rigs.key(box, "location", [(0, 0, 0), (1, 0, 0.5), (2, 0, 0)])
    rigs.set_range(1, 40)
    of = planned(ext, box)
    before = digest()
    answer, clip = posed(ext, box, [4, 5], ["crate|location.y"], [[0.25], [0.5]], of=of)
    assert difference(before, digest()) == {}
    wanted = clip.positions[[4, 5]] + [[[0, 0.25, 0]], [[0, 0.5, 0]]]
    np.testing.assert_allclose(answer.positions, wanted, atol=1e-6)


def test_frames_are_counted_and_others_keep_their_values(ext):
    rig = rigs.biped()
    plan, clip = planned(ext, rig)
    at = np.array([3, 7])
    with rig_copy(ext)(bpy.context.scene, plan, clip) as copy:
        begun = copy.evaluated
        copy.pose(Trial(at, ("head|rotation_euler.y",), np.array([[0.9], [-0.9]])))
        again = copy.pose(Trial(at, ("head|rotation_euler.y",), np.full((2, 1), np.nan)))
        assert copy.evaluated == begun + 4
        with pytest.raises(PlumblineError, match="is no channel"):
            copy.pose(Trial(at, ("nobody|location.x",), np.zeros((2, 1))))
    np.testing.assert_allclose(again.positions, clip.positions[at], atol=1e-6)


@pytest.mark.parametrize("how", ["scene driver", "keyed time", "changed since"])
def test_a_rig_that_no_copy_can_stand_in_for(ext, how):
    rig = rigs.biped()
    if how == "scene driver":
        scene_driver(rig.pose.bones["chest"], "rotation_euler", 2, context=False)
    if how == "keyed time":
        strip = rigs.push_to_strip(rig)
        strip.use_animated_time = True
        for frame, time in ((1, 1.0), (20, 40.0), (40, 1.0)):
            strip.strip_time = time
            strip.keyframe_insert("strip_time", frame=frame)
    of = planned(ext, rig)
    if how == "changed since":
        rig.pose.bones["neck"].location = (0.0, 0.1, 0.0)
    before = digest()
    with pytest.raises(PlumblineError, match="its keys alone"):
        posed(ext, rig, of=of)
    assert difference(before, digest()) == {}
