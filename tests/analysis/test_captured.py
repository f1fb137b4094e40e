# SPDX-License-Identifier: GPL-3.0-or-later
"""The captured motions are read as published: sizes, sides, rates, and rigid bones."""

import json
import os
import xml.etree.ElementTree as Xml
from pathlib import Path

import numpy as np
import pytest

from demo_scenes.captured import NAMES, load_all, load_motion, resample
from demo_scenes.captured.motions import frame_rate
from demo_scenes.captured.rotations import from_matrix, normalise, rotate, slerp

FOLDER = os.environ.get("PLUMBLINE_CAPTURED", "")
needs_data = pytest.mark.skipif(
    not Path(FOLDER, "data/motions").is_dir() or not FOLDER,
    reason="PLUMBLINE_CAPTURED names no pybullet_data folder",
)

# Durations as the files state them: 1/60, 1/30, 1/24 and 1/16 s.
RATES = dict.fromkeys(NAMES, 60.0) | {
    "run": 30.0,
    "walk": 30.0,
    "kick": 30.0,
    "punch": 30.0,
    "spin": 24.0,
    "backflip": 16.0,
}


@pytest.fixture(scope="module")
def motions():
    return load_all(FOLDER)


def path(motion, joint):
    return motion.positions[:, motion.joint(joint)]


def axis_y(motion, joint):
    return rotate(motion.rotations[:, motion.joint(joint)], np.array([0.0, 1.0, 0.0]))


@needs_data
def test_all_fifteen_with_their_rates(motions):
    assert tuple(motions) == NAMES
    assert {name: motion.fps for name, motion in motions.items()} == RATES
    assert sum(motion.frame_count for motion in motions.values()) == 1620


@needs_data
def test_forward_kinematics_against_matrices(motions):
    """The right wrist, walked down the URDF with 4x4 matrices in the source's own axes."""
    urdf = Path(FOLDER, "humanoid/humanoid.urdf").read_text().rstrip("\0")
    tree = Xml.fromstring(urdf)
    row = json.loads(Path(FOLDER, "data/motions/humanoid3d_punch.txt").read_text())["Frames"][33]

    def step(joint, turn):
        origin = tree.find(f"joint[@name='{joint}']/origin").attrib["xyz"].split()
        matrix = np.eye(4)
        matrix[:3, 3] = np.array(origin, float) / 4.0
        matrix[:3, :3] = turn
        return matrix

    def ball(at):
        w, x, y, z = np.array(row[at : at + 4]) / np.linalg.norm(row[at : at + 4])
        cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
        return np.eye(3) + 2 * w * cross + 2 * cross @ cross

    c, s = np.cos(row[29]), np.sin(row[29])
    elbow = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    root = np.eye(4)
    root[:3, 3] = row[1:4]
    root[:3, :3] = ball(4)
    arm = step("right_shoulder", ball(25)) @ step("right_elbow", elbow)
    chain = root @ step("chest", ball(8)) @ arm @ step("right_wrist", np.eye(3))
    x, y, z = chain[:3, 3]
    wrist = path(motions["punch"], "hand.R")[33]
    assert np.allclose(wrist, [-z, -x, y], atol=1e-12)


@needs_data
def test_left_is_left_and_feet_point_along_the_walk(motions):
    walk = motions["walk"]
    travel = path(walk, "hips")[-1] - path(walk, "hips")[0]
    forward = travel / np.linalg.norm(travel)
    left = np.cross([0.0, 0.0, 1.0], forward)
    for limb in ("thigh", "foot", "upper_arm", "hand"):
        apart = (path(walk, f"{limb}.L") - path(walk, f"{limb}.R")) @ left
        assert apart.mean() > 0.1
    for side in "LR":
        foot = walk.point_positions(f"toe.{side}") - walk.point_positions(f"heel.{side}")
        assert (foot @ forward).mean() > 0.1


@needs_data
def test_knees_bend_backwards_and_elbows_forwards(motions):
    walk = motions["walk"]
    for side in "LR":
        hip, knee, ankle = (path(walk, f"{j}.{side}") for j in ("thigh", "shin", "foot"))
        assert (((knee - 0.5 * (hip + ankle)) @ [0, -1, 0]) > 0.0).all()
        upper, elbow, wrist = (path(walk, f"{j}.{side}") for j in ("upper_arm", "forearm", "hand"))
        assert (((elbow - 0.5 * (upper + wrist)) @ [0, -1, 0]) < 0.0).all()


@needs_data
@pytest.mark.parametrize("name", NAMES)
def test_bones_are_rigid_and_y_runs_along_them(motions, name):
    motion = motions[name]
    assert np.isfinite(motion.positions).all()
    assert np.allclose(np.linalg.norm(motion.rotations, axis=-1), 1.0, atol=1e-12)
    for j, parent in enumerate(motion.parents[1:], start=1):
        bone = motion.positions[:, j] - motion.positions[:, parent]
        rest = motion.rest_positions[j] - motion.rest_positions[parent]
        assert np.allclose(np.linalg.norm(bone, axis=-1), np.linalg.norm(rest), atol=1e-9)
    chains = [("hips", "chest"), ("chest", "neck"), ("neck", "head")]
    for side in "LR":
        chains += [(f"{a}.{side}", f"{b}.{side}") for a, b in (("thigh", "shin"), ("shin", "foot"))]
        chains += [(f"upper_arm.{side}", f"forearm.{side}"), (f"forearm.{side}", f"hand.{side}")]
    for bone, child in chains:
        length = motion.lengths[motion.joint(bone)]
        tail = path(motion, bone) + length * axis_y(motion, bone)
        assert np.allclose(tail, path(motion, child), atol=1e-6)


@needs_data
@pytest.mark.parametrize("name", NAMES)
def test_quaternion_signs_are_continuous(motions, name):
    turns = motions[name].rotations
    assert (np.sum(turns[1:] * turns[:-1], axis=-1) > 0.0).all()


@needs_data
def test_size_and_floor(motions):
    walk = motions["walk"]
    head = walk.joint("head")
    assert walk.rest_positions[head, 2] + walk.lengths[head] == pytest.approx(1.62, abs=0.005)
    leg = walk.lengths[[walk.joint("thigh.L"), walk.joint("shin.L")]]
    assert leg == pytest.approx([0.4215, 0.4099], abs=1e-4)
    soles = [walk.point_positions(p)[:, 2] for p in walk.points if p != "head_tip"]
    lowest = np.min(soles, axis=0)
    # The sole that bears stays within 2 cm of the floor all through the walk.
    assert lowest.min() > -0.005
    assert lowest.max() < 0.02


@needs_data
@pytest.mark.parametrize("fps", [24.0, 30.0, 120.0])
def test_resampling_keeps_times_path_and_bones(motions, fps):
    jump = motions["jump"]
    other = resample(jump, fps)
    assert other.fps == fps
    last_s = (other.frame_count - 1) / fps
    assert last_s <= (jump.frame_count - 1) / jump.fps + 1e-9
    # At shared times (every half second) both rates agree.
    for second in (0.0, 0.5, 1.0, 1.5):
        a, b = jump.positions[round(second * 60)], other.positions[round(second * fps)]
        assert np.allclose(a, b, atol=1e-6)
    thigh = path(other, "thigh.L") - path(other, "shin.L")
    assert np.allclose(np.linalg.norm(thigh, axis=-1), 0.4215, atol=1e-4)
    assert (np.sum(other.rotations[1:] * other.rotations[:-1], axis=-1) > 0.0).all()


@needs_data
def test_resampling_from_half_the_frames_comes_back_close(motions):
    """Down to 30 fps and up again: how much a lower rate leaves out of a jump."""
    jump = motions["jump"]
    back = resample(resample(jump, 30.0), 60.0)
    apart = np.linalg.norm(back.positions - jump.positions[: back.frame_count], axis=-1)
    assert np.median(apart) < 0.0005
    assert apart.max() < 0.03


@needs_data
def test_clip_has_roles_and_true_size(motions):
    to_clip = pytest.importorskip("demo_scenes.captured.clip").to_clip
    motion = motions["roll"]
    clip = to_clip(motion)
    assert clip.frames[0] == 1 and clip.frames[-1] == motion.frame_count
    assert clip.fps == 60.0
    assert clip.meta.roles["root"] == clip.meta.roles["pelvis"] == ("hips",)
    assert {"head", "hand.L", "foot.R"} <= set(clip.meta.roles)
    assert np.array_equal(clip.positions, motion.positions)
    assert clip.meta.height_m == pytest.approx(1.62, abs=0.005)


def test_missing_data_is_told_in_one_sentence(tmp_path):
    with pytest.raises(ValueError, match=r"humanoid\.urdf is missing, expected .* pass the"):
        load_motion(tmp_path, "walk")


@needs_data
def test_wrong_names_and_rates_are_told(motions):
    with pytest.raises(ValueError, match=r"no motion 'waltz' .* expected one of"):
        load_motion(FOLDER, "waltz")
    with pytest.raises(ValueError, match="no joint 'tail'"):
        motions["walk"].joint("tail")
    with pytest.raises(ValueError, match="no point 'nose'"):
        motions["walk"].point_positions("nose")
    with pytest.raises(ValueError, match="fps is 0, expected a number above 0"):
        resample(motions["walk"], 0.0)


def test_frame_rate_from_rounded_durations():
    assert frame_rate(np.array([0.016666] * 9 + [0.0])) == 60.0
    assert frame_rate(np.array([0.0327] + [1 / 60] * 9)) == 60.0
    assert frame_rate(np.array([1001 / 30000] * 5)) == 29.97


def test_quaternions_of_all_turns_and_half_turns():
    turns = normalise(np.random.default_rng(7).normal(size=(500, 4)))
    turns[:4] = np.eye(4)
    matrices = np.stack([rotate(turns, axis) for axis in np.eye(3)], axis=-1)
    back = from_matrix(matrices)
    assert np.allclose(np.abs(np.sum(turns * back, axis=-1)), 1.0, atol=1e-12)
    assert np.allclose(slerp(turns, turns, 0.3), turns, atol=1e-9)
