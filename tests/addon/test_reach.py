# SPDX-License-Identifier: GPL-3.0-or-later
"""Which bones move with a control."""

import bpy
import numpy as np
import pytest
import rigs


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


def test_an_object_that_shares_its_name_with_a_bone(ext):
    rig = rigs.biped("chest")
    rigs.key(rig, "location", [(0, 0, 0), (0, 0, 5), (0, 0, 9)])
    rigs.key(rig.pose.bones["chest"], "location", [(0, 0, 0), (0, 0, 0.1), (0, 0, 0)])
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    drives = {curve.control: curve.drives for curve in clip.meta.curves}
    assert set(drives["chest (object)"]) == set(clip.joints)
    assert "hips" not in drives["chest"]
    for name, highest in (("chest (object)", 9.0), ("chest", 0.1)):
        values = clip.channel_values[:, clip.channels.index(f"{name}|location.z")]
        assert values.max() == pytest.approx(highest)
    at = clip.meta.controls.index("chest (object)")
    assert clip.control_matrices[-1, at, 2, 3] == pytest.approx(9.0)
