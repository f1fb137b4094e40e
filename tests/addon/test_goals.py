# SPDX-License-Identifier: GPL-3.0-or-later
"""The IK targets of hands and feet come with the clip; what leaves them is told."""

import bpy
import numpy as np
import pytest
import rigs


def pulled_leg(depths=(0.12, 0.02, 0.12), **options):
    """A biped whose left shin is pulled to a goal at its ankle, keyed at heights on frames 1, 20
    and 40; the leg reaches down to .08."""
    goal = {"goal": (None, (0.1, 0.0, 0.08), (0.1, -0.2, 0.08))}
    rig = rigs.armature("porter", {**rigs.BIPED, **goal})
    ik = rig.pose.bones["shin.L"].constraints.new("IK")
    ik.target, ik.subtarget, ik.chain_count = rig, "goal", 2
    for name, value in options.items():
        setattr(ik, name, value)
    # The bone lies along -Y: its own Z points down.
    way = rig.data.bones["goal"].matrix_local.to_3x3().inverted()
    lift = [way @ rigs.Vector((0.0, 0.0, depth - 0.08)) for depth in depths]
    rigs.key(rig.pose.bones["goal"], "location", lift)
    bpy.context.scene.frame_start, bpy.context.scene.frame_end = 1, 40
    return rig


def sampled(ext, rig):
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    return clip


def test_a_target_comes_with_its_foot(ext):
    clip = sampled(ext, pulled_leg())
    assert dict(clip.meta.targets) == {"foot.L": "goal"}
    goal = clip.control_matrices[:, clip.meta.controls.index("goal"), :3, 3]
    ankle = clip.positions[:, clip.joint("foot.L")]
    apart = np.linalg.norm(goal - ankle, axis=1)
    assert apart[0] < 1e-3
    assert apart[19] == pytest.approx(0.06, abs=5e-3)


def test_a_target_that_is_not_keyed_comes_as_well(ext):
    rig = pulled_leg()
    rig.animation_data_clear()
    rigs.key(rig.pose.bones["hips"], "location", [(0, 0, 0), (0, 0.1, 0), (0, 0, 0)])
    clip = sampled(ext, rig)
    assert clip.meta.targets["foot.L"] == "goal"
    assert clip.meta.controls == ("hips", "goal")
    assert clip.control_matrices.shape[1] == 2


def test_a_foot_that_stays_behind_its_target_is_told(ext):
    clip = sampled(ext, pulled_leg())
    settings = ext.analysis.Settings(checks=("overreach",), cycle="no")
    (found,) = ext.analysis.check_clip(clip, settings).findings
    assert (found.check, found.part) == ("overreach", "foot.L")
    assert found.amount == pytest.approx(6.0, abs=0.5)
    assert found.suggestion.offset[2] > 0.05


@pytest.mark.parametrize(
    "options", [{"mute": True}, {"chain_count": 1}, {"use_tail": False}, {"subtarget": ""}]
)
def test_what_pulls_no_limb_is_no_target(ext, options):
    assert not sampled(ext, pulled_leg(**options)).meta.targets


def held_back(rig, copied):
    """The goal pulls no more by itself: a bone follows it, no further than the leg reaches."""
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode="EDIT")
    bone = rig.data.edit_bones.new("kept")
    bone.head, bone.tail = (0.1, 0.0, 0.08), (0.1, -0.2, 0.08)
    bone.parent = rig.data.edit_bones["hips" if copied else "goal"]
    bpy.ops.object.mode_set(mode="OBJECT")
    kept = rig.pose.bones["kept"]
    if copied:
        copy = kept.constraints.new("COPY_LOCATION")
        copy.target, copy.subtarget = rig, "goal"
    limit = kept.constraints.new("LIMIT_DISTANCE")
    limit.target, limit.subtarget, limit.limit_mode = rig, "thigh.L", "LIMITDIST_INSIDE"
    limit.distance = rig.data.bones["thigh.L"].length + rig.data.bones["shin.L"].length
    rig.pose.bones["shin.L"].constraints["IK"].subtarget = "kept"


@pytest.mark.parametrize("copied", [True, False])
def test_a_target_that_is_kept_within_reach_is_followed_to_where_it_is_wanted(ext, copied):
    rig = pulled_leg()
    held_back(rig, copied)
    clip = sampled(ext, rig)
    assert dict(clip.meta.targets) == {"foot.L": "goal"}
    goal = clip.control_matrices[:, clip.meta.controls.index("goal"), :3, 3]
    apart = np.linalg.norm(goal - clip.positions[:, clip.joint("foot.L")], axis=1)
    assert apart[19] == pytest.approx(0.06, abs=5e-3)


@pytest.mark.rigify
def test_all_four_limbs_of_the_bundled_human_have_their_targets(ext, human_file):
    bpy.ops.wm.open_mainfile(filepath=str(human_file), load_ui=False)
    rig = bpy.data.objects["human"]
    rigs.key(rig.pose.bones["torso"], "location", [(0, 0, 0), (0, 0, -0.1), (0, 0, 0)])
    clip = sampled(ext, rig)
    assert set(clip.meta.targets) == {"foot.L", "foot.R", "hand.L", "hand.R"}
    for part, control in clip.meta.targets.items():
        place = clip.control_matrices[:, clip.meta.controls.index(control), :3, 3]
        end = clip.positions[:, clip.joint(clip.meta.roles[part][0])]
        assert np.linalg.norm(place - end, axis=1).max() < 0.02
