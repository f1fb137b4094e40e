# SPDX-License-Identifier: GPL-3.0-or-later
"""A captured jump keyed on the Rigify human: the polished pass stands, the first has its faults."""

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import bpy
import numpy as np
import pytest

from demo_scenes import matching, rigify_jump
from demo_scenes.captured import load_motion, resample
from demo_scenes.captured.fcurves import bone_path, object_fcurves
from demo_scenes.rigify_human.sampling import sample_bones
from tests.harness import extension

pytestmark = pytest.mark.rigify

FRAMES = np.arange(1, 44)
SIDES = ("L", "R")
# The feet stand flat on frames 1 to 12 and, settled by then, 34 to 43.
PLANTS = (slice(0, 12), slice(33, 43))
# In the air on frames 21 to 30; a frame from either end nothing bears any more, or yet.
FLIGHT = slice(21, 29)


@dataclass(frozen=True)
class Pass:
    """What a pass holds: (43,4,4) by deform bone and control, lowest point (43,), key frames by
    data path, the clip."""

    bones: dict[str, np.ndarray]
    lowest: np.ndarray
    keys: dict[str, list[float]]
    range: tuple[int, int]
    clip: Any

    def head(self, bone):
        return self.bones[bone][:, :3, 3]

    def bend(self, side):
        """Degrees by which a knee is off straight."""
        hip, knee, ankle = (self.head(f"DEF-{bone}.{side}") for bone in ("thigh", "shin", "foot"))
        one, two = knee - hip, ankle - knee
        cosine = (one * two).sum(axis=1) / np.linalg.norm(one, axis=1) / np.linalg.norm(two, axis=1)
        return np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))


def record(rig):
    scene = bpy.context.scene
    names = [bone.name for bone in rig.data.bones if bone.use_deform]
    names += ["torso", "hand_ik.R", "foot_ik.L", "foot_ik.R"]
    matrices = sample_bones(rig, FRAMES, names)
    (clip,) = extension.package().addon.sampling.sample(scene, [rig])
    keys = {}
    for curve in object_fcurves(rig):
        keys.setdefault(curve.data_path, []).append([p.co.x for p in curve.keyframe_points])
    (body,) = [child for child in rig.children if child.type == "MESH"]
    return Pass(
        bones={name: matrices[:, n] for n, name in enumerate(names)},
        lowest=lowest_points(body),
        keys=keys,
        range=(scene.frame_start, scene.frame_end),
        clip=clip,
    )


def lowest_points(body):
    graph, lowest = bpy.context.evaluated_depsgraph_get(), []
    for frame in FRAMES:
        bpy.context.scene.frame_set(int(frame))
        mesh = body.evaluated_get(graph).to_mesh()
        lowest.append(min(vertex.co.z for vertex in mesh.vertices))
    return np.array(lowest)


@pytest.fixture(scope="module")
def passes(human_file):
    """Both passes of one rig, the one that other tests pose: generating it costs seconds."""
    bpy.ops.wm.open_mainfile(filepath=str(human_file), load_ui=False)
    rig = rigify_jump.act(bpy.data.objects["human"], polished=True)
    polished = record(rig)
    rigify_jump.plant(rig)
    return polished, record(rig)


@pytest.fixture
def polished(passes):
    return passes[0]


@pytest.fixture
def first(passes):
    return passes[1]


def test_the_hips_go_as_captured(polished):
    motion = resample(load_motion(Path(os.environ["PLUMBLINE_CAPTURED"]), "jump"), 24.0)
    thighs = [motion.positions[:, motion.joint(f"thigh.{side}")] for side in SIDES]
    legs = [motion.lengths[motion.joint(f"{bone}.L")] for bone in ("thigh", "shin")]
    mine = 0.5 * (polished.head("DEF-thigh.L") + polished.head("DEF-thigh.R"))
    mine_leg = sum(
        np.linalg.norm(polished.head(f"DEF-{a}.L")[0] - polished.head(f"DEF-{b}.L")[0])
        for a, b in (("thigh", "shin"), ("shin", "foot"))
    )
    wanted = mine_leg / sum(legs) * 0.5 * (thighs[0] + thighs[1])
    off = mine - wanted
    assert polished.range == (1, 43)
    assert np.linalg.norm(off - off.mean(axis=0), axis=1).max() < 0.025


def test_it_is_keyed_by_hand_and_not_baked(polished, first):
    torso = polished.keys[bone_path("torso", "location")]
    assert torso[0][0] == 1
    assert torso[0][-1] == 43
    assert len(torso[0]) <= 20
    foot = bone_path("foot_ik.R", "location")
    assert first.keys[foot] == polished.keys[foot], "the sliding foot's keys were moved, not added"


@pytest.mark.parametrize("side", SIDES)
def test_planted_feet_stand_still_and_knees_do_not_lock(polished, side):
    for plant in PLANTS:
        for bone in ("foot", "toe"):
            stands = polished.head(f"DEF-{bone}.{side}")[plant]
            assert np.linalg.norm(stands - stands[0], axis=1).max() < 2e-3
    knee = polished.bend(side)
    assert knee.min() > 8.0
    assert 90.0 < knee.max() < 100.0


def test_nothing_goes_under_the_floor(polished, first):
    for shot in (polished, first):
        assert shot.lowest.min() > -0.01
        assert shot.lowest[FLIGHT].min() > 0.05


def test_the_flight_falls_as_it_must(polished, analysis):
    com = analysis.basis.build_basis(polished.clip, analysis.Settings()).com
    fitted = np.polyfit(FRAMES[FLIGHT] / 24.0, com[FLIGHT], 2)[0]
    assert -2.0 * fitted[2] == pytest.approx(9.80665, rel=0.04)
    assert np.abs(fitted[:2]).max() < 0.15


def test_the_first_pass_differs_exactly_where_it_was_planted(polished, first):
    apart = np.max(
        [np.abs(first.bones[b] - polished.bones[b]).max(axis=(1, 2)) for b in polished.bones],
        axis=0,
    )
    root, hand, slide = (fault["frames"] for fault in rigify_jump.PLANTED[:3])
    # A straight run ends on the frames of its two keys; the held key lies within the slide.
    planted = {*root, *hand, *range(21, 25), *range(slide[0], slide[1] + 1)}
    assert set(FRAMES[apart > 1e-3].tolist()) == planted
    assert apart[~np.isin(FRAMES, sorted(planted))].max() < 2e-5


def test_the_planted_faults_have_their_sizes(polished, first):
    def apart(bone):
        return first.head(bone) - polished.head(bone)

    root, hand, slide = (fault["frames"] for fault in rigify_jump.PLANTED[:3])
    np.testing.assert_allclose(apart("torso")[root[0] - 1], [0.04, 0.0, 0.0], atol=1e-5)
    assert np.abs(apart("DEF-foot.L")[root[0] - 1]).max() < 1e-5, "planted feet stay"
    np.testing.assert_allclose(apart("hand_ik.R")[hand[0] - 1], [0.0, 0.0, -0.08], atol=1e-5)
    assert 0.05 < np.linalg.norm(apart("DEF-hand.R")[hand[0] - 1]) < 0.08
    foot = apart("DEF-foot.R")[slide[0] - 1 : slide[1]]
    assert foot[-1, 1] == pytest.approx(-0.07, abs=1e-4)
    assert np.all(np.diff(foot[:, 1]) < 0.0), "ahead all the while"
    assert np.abs(foot[:, [0, 2]]).max() < 5e-4
    assert first.bend("R").min() > 8.0


def test_one_hand_runs_straight_and_the_other_is_held(polished, first):
    straight = first.head("DEF-hand.L")[19:25]
    steps = np.diff(straight, axis=0)
    assert np.abs(steps - steps.mean(axis=0)).max() < 1e-3
    off = np.linalg.norm(first.head("DEF-hand.L") - polished.head("DEF-hand.L"), axis=1)
    assert 0.05 < off[19:25].max() < 0.08
    held = first.bones["hand_ik.R"][33:37]
    assert np.abs(held - held[0]).max() < 1e-4
    off = np.linalg.norm(first.head("DEF-hand.R") - polished.head("DEF-hand.R"), axis=1)
    assert set(FRAMES[33:][off[33:] > 1e-3].tolist()) == {35, 36, 37}
    assert 0.18 < off[36] < 0.22


def test_the_planted_faults_are_found_and_the_polished_pass_is_clean(polished, first, analysis):
    assert analysis.check_clip(polished.clip).findings == ()
    found = [finding.to_json() for finding in analysis.check_clip(first.clip).findings]
    assert len(found) == len(rigify_jump.PLANTED)
    for finding in matching.match(rigify_jump.PLANTED, found):
        assert finding is not None
        assert finding["severity"] == "major"
