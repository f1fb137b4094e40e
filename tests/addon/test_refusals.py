# SPDX-License-Identifier: GPL-3.0-or-later
"""Rigs that cannot be sampled are told in a sentence, and do not take others with them."""

import bpy
import numpy as np
import pytest
import rigs
from digest import difference, digest

from analysis import Clip, PlumblineError


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def break_pose(rig, bone="hand.L"):
    """A pose that holds no numbers: Blender cuts the scale to its largest, which then grows."""
    rig.pose.bones[bone].scale = (float("inf"),) * 3


@pytest.mark.parametrize("bone", ["hand.L", "chest"])
def test_a_pose_without_numbers_is_told_in_a_sentence(sampling, bone):
    rig = rigs.biped()
    break_pose(rig, bone)
    before = digest()
    with pytest.raises(PlumblineError, match=r"'porter' has no position for '.*' at frame \d+ \(a"):
        sampling.sample(bpy.context.scene, [rig])
    assert difference(before, digest()) == {}


def test_a_broken_control_that_no_joint_follows(sampling):
    more = {"base": (None, (1, 0, 0), (1, 0, 1)), "goal": ("base", (1, 0, 1), (1, 0, 2))}
    rig = rigs.armature("porter", {**rigs.BIPED, **more})
    rigs.key(rig.pose.bones["hips"], "location", [(0, 0, 0), (0, 0, 1), (0, 0, 0)])
    rigs.key(rig.pose.bones["goal"], "location", [(0, 0, 0), (0, 0, 1), (0, 0, 0)])
    break_pose(rig, "base")
    break_pose(rig, "goal")
    with pytest.raises(PlumblineError, match="'porter' has no position for 'goal' at frame 1 "):
        sampling.sample(bpy.context.scene, [rig], first=1, last=5)


def test_one_rig_that_fails_leaves_the_others(sampling):
    scene = bpy.context.scene
    good, broken, last = rigs.biped("good"), rigs.biped("broken"), rigs.biped("last")
    (alone,) = sampling.sample(scene, [good])
    break_pose(broken)
    last.data.pose_position = "REST"
    first, second, third = sampling.sample_each(scene, [good, broken, last])
    assert isinstance(first, Clip)
    np.testing.assert_array_equal(first.positions, alone.positions)
    assert "'broken' has no position" in str(second)
    assert "'last' is shown in Rest Position" in str(third)
    with pytest.raises(PlumblineError, match="'broken' has no position"):
        sampling.sample(scene, [good, broken])


def test_a_rig_in_edit_mode(sampling):
    rig = rigs.biped()
    bpy.ops.object.mode_set(mode="EDIT")
    with pytest.raises(PlumblineError, match=r"'porter' is in edit mode, .* leave edit mode"):
        sampling.sample(bpy.context.scene, [rig])
    assert bpy.context.mode == "EDIT_ARMATURE"


def test_a_rig_in_rest_position(sampling):
    rig = rigs.biped()
    rig.data.pose_position = "REST"
    with pytest.raises(PlumblineError, match=r"Rest Position, .* choose Pose Position"):
        sampling.sample(bpy.context.scene, [rig])


def test_a_rig_inside_a_collection_instance(sampling):
    rig, scene = rigs.biped(), bpy.context.scene
    collection = bpy.data.collections.new("hidden away")
    collection.objects.link(rig)
    scene.collection.objects.unlink(rig)
    with pytest.raises(PlumblineError, match="holds no armature with bones"):
        sampling.pick.pick_rigs(scene, None)
    shown = bpy.data.objects.new("shown", None)
    shown.instance_type, shown.instance_collection = "COLLECTION", collection
    scene.collection.objects.link(shown)
    with pytest.raises(PlumblineError, match=r"only inside .* instance 'shown', .*: make"):
        sampling.pick.pick_rigs(scene, None)
