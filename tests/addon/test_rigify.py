# SPDX-License-Identifier: GPL-3.0-or-later
"""Blender's bundled Rigify human: keyed as by hand, sampled bit for bit, one spike one pop."""

import os
from pathlib import Path

import bpy
import numpy as np
import pytest
import rigs
from copied import assert_same, planned, posed
from digest import difference, digest

from demo_scenes.captured.motions import load_motion
from demo_scenes.rigify_human.build import figure_height
from demo_scenes.rigify_human.faults import spike, spike_turn
from demo_scenes.rigify_human.keying import key_motion
from demo_scenes.rigify_human.sampling import sample_heads

pytestmark = pytest.mark.rigify

FRAMES = [1, 5, 12.5, 20, 28.25, 31]


def captured(name):
    return load_motion(Path(os.environ["PLUMBLINE_CAPTURED"]), name)


@pytest.fixture(scope="session")
def walk(human_file):
    """A captured walk keyed on the controls at 24 fps, built once; where it is saved, and how."""
    bpy.ops.wm.open_mainfile(filepath=str(human_file), load_ui=False)
    shot = key_motion(bpy.data.objects["human"], captured("walk"), fps=24.0)
    path = human_file.with_name("walk.blend")
    bpy.ops.wm.save_as_mainfile(filepath=str(path))
    return path, shot


@pytest.fixture
def shot(walk):
    return walk[1]


@pytest.fixture
def human(walk):
    bpy.ops.wm.open_mainfile(filepath=str(walk[0]), load_ui=False)
    return bpy.data.objects["human"]


def test_joints_and_roles(ext, human):
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [human])
    assert len(human.pose.bones) > 700
    assert len(clip.joints) == 24
    assert clip.meta.roles["root"] == ("torso",)
    assert clip.meta.roles["mover"] == ("root",)
    names = dict(zip(clip.joints, clip.parents, strict=True))
    assert clip.joints[names["DEF-thigh.L"]] == "DEF-spine"
    assert clip.joints[names["DEF-upper_arm.R"]] == "DEF-shoulder.R"
    assert clip.joints[names["torso"]] == "root"
    assert "torso|location.z" in clip.channels


def test_all_bones_are_the_same_bits(ext, human):
    got = []
    with ext.addon.sampling.stages.temporary_stage(bpy.context.scene, [human]) as stage:
        for frame in FRAMES:
            seen = human.evaluated_get(stage.go(int(frame), frame % 1.0))
            flat = np.zeros(len(seen.pose.bones) * 16, dtype=np.float32)
            seen.pose.bones.foreach_get("matrix", flat)
            got.append(flat.reshape(-1, 4, 4).transpose(0, 2, 1))
    poses, _worlds, _others = rigs.real_matrices(human, FRAMES)
    np.testing.assert_array_equal(np.array(got), poses)


def test_the_clip_is_the_same_bits(ext, human):
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [human])
    poses, worlds, _others = rigs.real_matrices(human, range(1, 32))
    bones = [human.pose.bones.find(name) for name in clip.joints]
    expected = worlds[:, None] @ poses[:, bones]
    np.testing.assert_array_equal(clip.positions, expected[..., :3, 3])


def test_nothing_changes(ext, human):
    bpy.context.scene.frame_set(17, subframe=0.25)
    bpy.context.view_layer.objects.active = human
    bpy.ops.object.mode_set(mode="POSE")
    human.pose.bones["chest"].rotation_quaternion = (0.9, 0.1, 0.3, 0.0)
    human.pose.bones["hand_ik.L"].location = (0.1, 0.2, 0.3)
    bpy.context.view_layer.update()
    before = digest()
    ext.addon.sampling.sample(bpy.context.scene, [human])
    assert difference(before, digest()) == {}


def test_it_is_keyed_as_by_hand(human, shot):
    assert figure_height(human) == pytest.approx(1.7, abs=1e-3)
    assert shot.frames == (1, 31)
    keys = shot.keys["torso"]
    assert keys[0] == 1
    assert keys[-1] == 31
    assert len(keys) <= 16  # poses and breakdowns, not a bake
    assert all(keys == other for other in shot.keys.values())
    # Both plants of a stride, the foot flat: the ankle stands still, its sole on the floor.
    for side in "LR":
        ((first, last),) = shot.plants[side]
        frames = np.arange(first + 1, last)
        ankle = sample_heads(human, frames, [f"DEF-foot.{side}"])[:, 0]
        assert np.ptp(ankle[:, :2], axis=0).max() < 0.03
        assert np.abs(ankle[:, 2] - human.data.bones[f"DEF-foot.{side}"].head_local.z).max() < 0.03


def test_the_splines_stay_near_the_captured_motion(shot):
    assert max(shot.worst_cm.values()) < 4.0
    assert max(shot.median_cm.values()) < 1.5


@pytest.mark.parametrize("control", ["torso", "chest", "head", "hand_ik.L", "foot_ik.R"])
def test_a_planted_fault_changes_its_frame_only(human, control):
    bones = [bone.name for bone in human.data.bones if bone.use_deform]
    frames = range(1, 32)
    before = sample_heads(human, frames, bones)
    if control in ("chest", "head"):
        spike_turn(human, control, 15, 12.0)
    else:
        spike(human, control, 15, 0.04, axis="z")
    after = sample_heads(human, frames, bones)
    changed = np.abs(after - before).max(axis=(1, 2))
    assert np.flatnonzero(changed > 1e-5).tolist() == [14]


@pytest.mark.parametrize(("axis", "metres"), [("x", 0.03), ("y", 0.04), ("z", 0.03), ("z", -0.04)])
def test_a_linear_spike_on_the_torso_is_one_pop_of_the_root(ext, human, axis, metres):
    check, settings = ext.analysis.check_clip, ext.analysis.Settings(cycle="no")
    (clean,) = ext.addon.sampling.sample(bpy.context.scene, [human])
    assert check(clean, settings).findings == ()
    spike(human, "torso", 15, metres, axis=axis)
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [human])
    (found,) = check(clip, settings).findings
    assert (found.check, found.part, found.peak_frame) == ("pop", "root", 15)
    assert found.severity == "major"
    assert found.amount == pytest.approx(100 * abs(metres), abs=0.3)


@pytest.mark.parametrize(
    ("control", "part", "metres"),
    [("hand_ik.L", "hand.L", 0.05), ("hand_ik.R", "hand.R", 0.05), ("head", "head", None)],
)
def test_a_spike_on_another_control_is_one_pop_of_its_part(ext, human, control, part, metres):
    if metres is None:
        spike_turn(human, control, 15, 15.0)
    else:
        spike(human, control, 15, metres)
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [human])
    found = ext.analysis.check_clip(clip, ext.analysis.Settings(cycle="no")).findings
    assert [(f.check, f.part, f.peak_frame) for f in found] == [("pop", part, 15)]


def test_other_ways_of_keying(human):
    shot = key_motion(human, captured("jump"), fps=30.0, arms="fk", offset_frames=2)
    assert shot.fps == 30.0
    assert "upper_arm_fk.L" in shot.keys
    assert shot.keys["torso"] != shot.keys["upper_arm_fk.L"]
    assert max(shot.median_cm.values()) < 1.5
    with pytest.raises(ValueError, match="expected one of ik, fk"):
        key_motion(human, captured("jump"), arms="both")


@pytest.mark.parametrize(
    ("bone", "part"),
    [
        *((name, "hand.R") for name in ("DEF-hand.R", "ORG-hand.R", "hand_fk.R", "hand_ik.R")),
        *((name, "hand.L") for name in ("hand_tweak.L", "ORG-f_index.02.L")),
        *((name, "forearm.L") for name in ("ORG-forearm.L", "forearm_fk.L")),
        *((name, None) for name in ("foot_ik.R", "torso", "head", "upper_arm_ik_target.R")),
    ],
)
def test_a_prop_may_hang_on_any_bone_of_a_hand(ext, human, bone, part):
    rigs.boathook(human, bone)
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [human], first=1, last=3)
    assert [prop.held_by for prop in clip.meta.props] == ([part] if part else [])


def test_what_truly_follows_each_control(ext, human):
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [human])
    carried, at = clip.meta.carried, {p: each[0] for p, each in clip.meta.roles.items()}
    rigid = pytest.approx((1.0, 1.0), abs=0.01)
    for joint in ("DEF-spine", "DEF-spine.003", at["head"]):
        assert carried["torso"][joint] == rigid
    for side in "LR":
        assert at[f"foot.{side}"] not in carried["torso"]
        assert carried[f"foot_ik.{side}"][at[f"foot.{side}"]] == rigid
        assert carried[f"hand_ik.{side}"][at[f"hand.{side}"]] == rigid
    assert "DEF-spine" not in carried["chest"]
    drives = {curve.control: curve.drives for curve in clip.meta.curves}
    assert "DEF-foot.L" not in drives["torso"]
    assert set(drives["head"]) <= {"DEF-spine.004", "DEF-spine.006"}


def test_a_copy_stands_as_the_human_does(ext, human):
    assert_same(*posed(ext, human), human)


def test_a_copy_answers_what_the_faulted_human_does(ext, human):
    of = planned(ext, human)
    spike(human, "torso", 15, 0.04, axis="z")
    spike_turn(human, "chest", 20, 12.0)
    spike(human, "hand_ik.L", 24, 0.05)
    (wanted,) = ext.addon.sampling.sample(bpy.context.scene, [human])
    changed = [n for n in of[1].channels if n in wanted.channels]
    values = wanted.channel_values[:, [wanted.channels.index(n) for n in changed]]
    answer, clean = posed(ext, human, None, changed, values, of=of)
    np.testing.assert_allclose(answer.positions, wanted.positions, atol=1e-6)
    assert np.abs(answer.positions - clean.positions).max() > 0.03
