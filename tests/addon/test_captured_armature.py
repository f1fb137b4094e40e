# SPDX-License-Identifier: GPL-3.0-or-later
"""A captured motion on an armature in Blender is the captured motion, frame by frame."""

import os
from pathlib import Path

import numpy as np
import pytest

bpy = pytest.importorskip("bpy")

from demo_scenes.captured import load_motion, resample  # noqa: E402
from demo_scenes.captured.armature import add_captured  # noqa: E402
from demo_scenes.captured.fcurves import object_fcurves, set_scene_rate  # noqa: E402
from demo_scenes.captured.rotations import from_matrix  # noqa: E402

FOLDER = os.environ.get("PLUMBLINE_CAPTURED", "")
needs_data = pytest.mark.skipif(
    not Path(FOLDER, "data/motions").is_dir() or not FOLDER,
    reason="PLUMBLINE_CAPTURED names no pybullet_data folder",
)


@pytest.fixture
def scene():
    """A new scene in the window, taken away afterwards with all that was put into it."""
    window = bpy.context.window_manager.windows[0]
    before = window.scene
    scene = bpy.data.scenes.new("captured test")
    window.scene = scene
    yield scene
    for item in list(scene.collection.objects):
        bpy.data.objects.remove(item)
    window.scene = before
    bpy.data.scenes.remove(scene)


def sample(scene, rig, motion):
    """World heads (T,J,3) and rotations (T,J,4) as Blender evaluates them."""
    heads = np.zeros(motion.positions.shape)
    turns = np.zeros(motion.rotations.shape)
    for t in range(motion.frame_count):
        scene.frame_set(t + 1)
        posed = rig.evaluated_get(bpy.context.evaluated_depsgraph_get())
        for j, joint in enumerate(motion.joints):
            matrix = np.array(posed.matrix_world @ posed.pose.bones[joint].matrix)
            heads[t, j], turns[t, j] = matrix[:3, 3], from_matrix(matrix[:3, :3])
    return heads, turns


@needs_data
@pytest.mark.parametrize("name", ["walk", "roll", "jump", "spinkick"])
def test_heads_and_turns_equal_the_capture(scene, name):
    motion = load_motion(FOLDER, name)
    heads, turns = sample(scene, add_captured(motion), motion)
    assert np.abs(heads - motion.positions).max() < 1e-5
    assert np.abs(np.sum(turns * motion.rotations, axis=-1)).min() > 1.0 - 1e-6


@needs_data
def test_scene_rate_range_and_keys(scene):
    motion = load_motion(FOLDER, "backflip")
    rig = add_captured(motion)
    assert scene.render.fps / scene.render.fps_base == pytest.approx(16.0)
    assert (scene.frame_start, scene.frame_end) == (1, motion.frame_count)
    curves = object_fcurves(rig)
    assert len(curves) == 3 + 4 * len(motion.joints)
    assert {len(curve.keyframe_points) for curve in curves} == {motion.frame_count}


def test_rates_that_are_no_whole_numbers(scene):
    for fps in (23.976, 24.0, 29.97, 30.0, 60.0, 16.0):
        set_scene_rate(scene, fps, 1, 10)
        assert scene.render.fps / scene.render.fps_base == pytest.approx(fps, rel=1e-6)


@needs_data
def test_the_mannequin_follows_its_bones(scene):
    motion = resample(load_motion(FOLDER, "walk"), 24.0)
    rig = add_captured(motion)
    (mesh,) = [child for child in rig.children if child.type == "MESH"]
    assert {group.name for group in mesh.vertex_groups} <= set(motion.joints)
    scene.frame_set(motion.frame_count)
    posed = mesh.evaluated_get(bpy.context.evaluated_depsgraph_get()).to_mesh()
    places = np.array([vertex.co for vertex in posed.vertices])
    # It stands on the floor to 2.5 cm and travels with the hips.
    assert abs(places[:, 2].min()) < 0.025
    assert abs(places[:, 1].mean() - motion.positions[-1, 0, 1]) < 0.1
