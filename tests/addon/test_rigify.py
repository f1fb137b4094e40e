# SPDX-License-Identifier: GPL-3.0-or-later
"""Blender's bundled Rigify human: sampled bit for bit, unchanged, and one spike is one pop."""

import os
from pathlib import Path

import bpy
import numpy as np
import pytest
import rigs
from digest import difference, digest

from demo_scenes.captured.motions import load_motion
from demo_scenes.rigify_human.build import build_human
from demo_scenes.rigify_human.matching import match

FRAMES = [1, 5, 12.5, 20, 30.25, 39]


@pytest.fixture(scope="session")
def walking_file(tmp_path_factory):
    """A Rigify human whose controls follow a captured walk, built once and saved."""
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    motion = load_motion(Path(os.environ["PLUMBLINE_CAPTURED"]), "walk")
    rig = build_human(height_m=1.7)
    match(rig, motion, "ik")
    rigs.set_range(1, motion.frame_count)
    bpy.context.scene.render.fps = round(motion.fps)
    path = tmp_path_factory.mktemp("rigify") / "walk.blend"
    bpy.ops.wm.save_as_mainfile(filepath=str(path))
    return path


@pytest.fixture
def human(walking_file):
    bpy.ops.wm.open_mainfile(filepath=str(walking_file), load_ui=False)
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
    poses, worlds, _others = rigs.real_matrices(human, range(1, 40))
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


@pytest.mark.parametrize(("axis", "metres"), [(0, 0.03), (1, 0.04), (2, 0.03), (2, -0.04)])
def test_a_linear_spike_on_the_torso_is_one_pop_of_the_root(ext, human, axis, metres):
    check, settings = ext.analysis.check_clip, ext.analysis.Settings(cycle="no")
    (clean,) = ext.addon.sampling.sample(bpy.context.scene, [human])
    known = {finding.id for finding in check(clean, settings).findings}
    rigs.spike(human.pose.bones["torso"], "location", axis, 13, metres)
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [human])
    new = [f for f in check(clip, settings).findings if f.id not in known]
    assert [(f.check, f.part, f.peak_frame) for f in new] == [("pop", "root", 13)]
    assert new[0].severity == "major"
    assert new[0].amount == pytest.approx(100 * abs(metres), abs=0.3)
