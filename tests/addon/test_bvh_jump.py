# SPDX-License-Identifier: GPL-3.0-or-later
"""A captured jump through a BVH file: what comes in is what was captured, faults where planted."""

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import bpy
import numpy as np
import pytest

from demo_scenes import bvh_jump, matching
from demo_scenes.captured import load_motion
from demo_scenes.captured.fcurves import LINEAR, object_fcurves
from tests.harness import extension

FRAMES = np.arange(1, 55)
FLIGHT = slice(25, 37)  # frames 26 to 37: neither sole is within 6 cm of the floor
NAMES = {
    "hips": "Hips",
    "chest": "Chest",
    "neck": "Neck",
    "head": "Head",
    "thigh.L": "LeftUpLeg",
    "shin.L": "LeftLeg",
    "foot.L": "LeftFoot",
    "upper_arm.R": "RightArm",
    "forearm.R": "RightForeArm",
    "hand.R": "RightHand",
}


@dataclass(frozen=True)
class Pass:
    """Heads (54,3) by bone, the lowest point (54,), keys of every curve, scene facts, the clip."""

    heads: dict[str, np.ndarray]
    lowest: np.ndarray
    keys: dict[tuple[str, int], tuple[np.ndarray, np.ndarray]]
    rate: float
    range: tuple[int, int]
    clip: Any


def record(polished):
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    rig = bvh_jump.build(polished=polished)
    scene, graph = bpy.context.scene, bpy.context.evaluated_depsgraph_get()
    (body,) = rig.children
    heads, lowest = {}, []
    for frame in FRAMES:
        scene.frame_set(int(frame))
        posed = rig.evaluated_get(graph)
        for bone in posed.pose.bones:
            heads.setdefault(bone.name, []).append((posed.matrix_world @ bone.head)[:])
        mesh = body.evaluated_get(graph).to_mesh()
        lowest.append(min(vertex.co.z for vertex in mesh.vertices))
    (clip,) = extension.package().addon.sampling.sample(scene, [rig])
    return Pass(
        heads={name: np.array(path) for name, path in heads.items()},
        lowest=np.array(lowest),
        keys={(each.data_path, each.array_index): keys_of(each) for each in object_fcurves(rig)},
        rate=scene.render.fps / scene.render.fps_base,
        range=(scene.frame_start, scene.frame_end),
        clip=clip,
    )


def keys_of(curve):
    places = np.zeros(2 * len(curve.keyframe_points), np.float32)
    kinds = np.zeros(len(curve.keyframe_points), np.int32)
    curve.keyframe_points.foreach_get("co", places)
    curve.keyframe_points.foreach_get("interpolation", kinds)
    return places.reshape(-1, 2), kinds


@pytest.fixture(scope="module")
def polished():
    return record(polished=True)


@pytest.fixture(scope="module")
def first():
    return record(polished=False)


@pytest.fixture(scope="module")
def captured():
    """The capture at its own 60 frames a second: every second frame is one of the file's."""
    return load_motion(Path(os.environ["PLUMBLINE_CAPTURED"]), "jump")


def test_what_comes_in_is_what_was_captured(polished, captured):
    for joint, path in zip(captured.joints, np.moveaxis(captured.positions, 1, 0), strict=True):
        bone = bvh_jump.bvh_name(joint)
        assert np.abs(polished.heads[bone] - path[::2]).max() < 1e-5, bone
        assert NAMES.get(joint, bone) == bone


def test_rate_range_and_keys_are_the_file_s(polished):
    assert polished.rate == pytest.approx(30.0, rel=1e-6)
    assert polished.range == (1, 54)
    assert len(polished.keys) == 3 + 3 * 16
    for places, kinds in polished.keys.values():
        np.testing.assert_array_equal(places[:, 0], FRAMES)
        assert set(kinds.tolist()) == {LINEAR}


def test_the_file_is_as_a_studio_writes_it(tmp_path, captured):
    lines = bvh_jump.write_file(tmp_path).read_text(encoding="ascii").splitlines()
    assert [path.name for path in tmp_path.iterdir()] == ["bvh_jump.bvh"]
    assert lines[:2] == ["HIERARCHY", "ROOT Hips"]
    motion = lines.index("MOTION")
    assert lines[motion + 1 : motion + 3] == ["Frames: 54", "Frame Time: 0.0333333333"]
    rows = np.array([line.split() for line in lines[motion + 3 :]], dtype=float)
    assert rows.shape == (54, 6 + 3 * 15)
    x, y, z = captured.positions[::2, captured.joint("hips")].T
    np.testing.assert_allclose(rows[:, :3], 100.0 * np.stack((x, z, -y), axis=1), atol=1e-5)


def test_parts_are_known_by_the_names(polished):
    roles = polished.clip.meta.roles
    for part, bone in NAMES.items():
        assert roles["pelvis" if part == "hips" else part] == (bone,)
    assert roles["root"] == ("Hips",)
    assert polished.clip.fps == pytest.approx(30.0)


def test_the_mannequin_stands_on_the_floor(polished, first):
    assert polished.lowest.min() > -0.025  # captured soles sink so far on landing
    assert polished.lowest[:15].max() < 0.03
    assert polished.lowest[FLIGHT].min() > 0.04
    assert (first.lowest - polished.lowest)[FLIGHT].min() > 0.03, "higher all the while"


def test_the_flight_is_an_arc_and_in_the_first_pass_it_hangs(polished, first, analysis):
    paths = [
        analysis.basis.build_basis(shot.clip, analysis.Settings()).com[FLIGHT]
        for shot in (polished, first)
    ]
    fitted = np.polyfit(FRAMES[FLIGHT] / 30.0, paths[0], 2)[0]
    assert -2.0 * fitted[2] == pytest.approx(9.80665, rel=0.03)
    assert np.abs(fitted[:2]).max() < 0.15
    rise, fall = top_shares(paths[0][:, 2])
    assert abs(rise - 0.5) < 0.03
    assert abs(fall - 0.5) < 0.03
    assert min(top_shares(paths[1][:, 2])) > 0.65


def top_shares(height):
    """Shares of the rise and of the fall that are spent in its top quarter."""
    fine = np.polynomial.Polynomial.fit(FRAMES[FLIGHT], height, 4)(np.linspace(26, 37, 2000))
    top = int(np.argmax(fine))
    sides = (fine[: top + 1], fine[0]), (fine[top:], fine[-1])
    return [float(np.mean(side > fine[top] - 0.25 * (fine[top] - end))) for side, end in sides]


# The frames on which each part of the first pass is elsewhere than in the polished one.
PLANTED = {
    "Hips": range(26, 38),
    "Head": [*range(26, 38), 46],
    "LeftHand": [*range(14, 18), *range(26, 38)],
    "RightHand": [*range(13, 18), *range(26, 38), *range(47, 55)],
    "LeftFoot": range(26, 38),
}


def test_the_first_pass_differs_exactly_where_it_was_planted(polished, first):
    apart = {
        bone: np.linalg.norm(first.heads[bone] - polished.heads[bone], axis=1)
        for bone in polished.heads
    }
    apart["Head"] = np.linalg.norm(head_tips(first) - head_tips(polished), axis=1)
    for bone, frames in PLANTED.items():
        assert set(FRAMES[apart[bone] > 1e-3].tolist()) == set(frames), bone
    anywhere = {frame for frames in PLANTED.values() for frame in frames}
    for far in apart.values():
        assert far[~np.isin(FRAMES, sorted(anywhere))].max() < 2e-5


def test_the_planted_faults_have_their_sizes(polished, first):
    higher = first.heads["Hips"] - polished.heads["Hips"]
    assert np.abs(higher[:, :2]).max() < 1e-5
    assert 0.085 < higher[:, 2].max() < 0.095
    nod = np.linalg.norm(head_tips(first) - head_tips(polished), axis=1)[45]
    assert 0.06 < nod < 0.08


def test_the_arms_are_held_filled_and_lost(polished, first):
    def by_chest(shot, hand):
        """(54,2) how far a hand is from the chest's joint and from the neck's."""
        ends = [shot.heads[hand] - shot.heads[bone] for bone in ("Chest", "Neck")]
        return np.linalg.norm(ends, axis=-1).T

    for hand, first_frame, last in (("LeftHand", 13, 17), ("RightHand", 46, 54)):
        held = by_chest(first, hand)[first_frame - 1 : last]
        assert np.abs(held - held[0]).max() < 1e-5, "the arm stands still on the chest"
    caught_up = first.heads["LeftHand"][16] - polished.heads["LeftHand"][16]
    assert 0.18 < np.linalg.norm(caught_up) < 0.2
    filled = first.heads["RightHand"][11:18] - polished.heads["RightHand"][11:18]
    assert 0.05 < np.linalg.norm(filled, axis=1).max() < 0.06
    swing = turns(first, "RightArm")[11:18]
    np.testing.assert_allclose(np.diff(swing, n=2, axis=0), 0.0, atol=1e-5)


def turns(shot, bone):
    """(54,3) the values of a bone's turn channels."""
    paths = [path for path in shot.keys if path[0].endswith(f'"{bone}"].rotation_euler')]
    return np.stack([shot.keys[path][0][:, 1] for path in sorted(paths)], axis=1)


def head_tips(shot):
    """(54,3) the crown: a point of the clip's head."""
    basis = extension.package().analysis.basis.build_basis(
        shot.clip, extension.package().analysis.Settings()
    )
    return basis.marks[:, basis.body("head"), 1]


def test_the_planted_faults_are_found_and_the_polished_pass_is_clean(polished, first, analysis):
    assert analysis.check_clip(polished.clip).findings == ()
    found = [finding.to_json() for finding in analysis.check_clip(first.clip).findings]
    assert len(found) == len(bvh_jump.PLANTED)
    for finding in matching.match(bvh_jump.PLANTED, found):
        assert finding is not None
        assert finding["severity"] == "major"
