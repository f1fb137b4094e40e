# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter's brisk walk: planted feet stand, knees never lock, faults are where they belong."""

from dataclasses import dataclass

import bpy
import numpy as np
import pytest
from stepped import SIDES, Bones, assert_differs_only_where_planted, built, gap, lowest_point, step

from demo_scenes.matching import match
from demo_scenes.porter import brisk_walk

FRAMES = np.arange(1, 50)
# Flat foot to heel-off, counted from the frame on which the foot lands.
FLAT = slice(3, 8)
LANDINGS = {"L": (1, 25), "R": (13, 37)}
SPEED = 1.65 / 24


@dataclass(frozen=True, kw_only=True)
class Pass(Bones):
    """Also the lowest point of the body (49,), and the range that plays."""

    lowest: np.ndarray
    range: tuple[int, int]


def record(polished):
    rig = built(brisk_walk, polished=polished)
    scene = bpy.context.scene
    bones, lowest = step(rig, FRAMES, lambda graph, _seen: lowest_point(graph))
    span = scene.frame_start, scene.frame_end
    return Pass(lowest=np.array(lowest), range=span, **bones)


@pytest.fixture(scope="module")
def polished():
    return record(polished=True)


@pytest.fixture(scope="module")
def first():
    return record(polished=False)


def test_the_scene_plays_as_a_loop(polished, first):
    assert polished.range == (1, 48)
    assert first.range == (1, 49)
    assert polished.heads["mover"][-1, 1] == pytest.approx(-48 * SPEED, abs=1e-5)
    steps = np.diff(polished.heads["mover"], axis=0)
    assert np.abs(steps - steps[0]).max() < 1e-5


@pytest.mark.parametrize("side", SIDES)
def test_planted_feet_stand_still(polished, side):
    for landing in LANDINGS[side]:
        planted = slice(landing - 1 + FLAT.start, landing - 1 + FLAT.stop)
        for place in (polished.heads[f"foot_ik.{side}"], polished.heads[f"toe.{side}"]):
            stands = place[planted]
            assert np.linalg.norm(stands - stands[0], axis=1).max() < 2e-3


@pytest.mark.parametrize("side", SIDES)
def test_knees_bend_and_never_lock_or_snap(polished, side):
    knee = polished.knee(side)
    assert knee.min() > 8.0
    assert 55.0 < knee.max() < 75.0
    speed = np.diff(knee)
    assert np.abs(speed).max() < 17.0
    assert np.abs(np.diff(speed)).max() < 12.0
    hip, ankle = polished.heads[f"thigh.{side}"], polished.tails[f"shin.{side}"]
    ahead = (hip + ankle)[:, 1] / 2.0 - polished.tails[f"thigh.{side}"][:, 1]
    assert ahead.min() > 0.02, "the knee points forward"


def test_the_body_rises_and_sways_as_people_do(polished):
    body = polished.ridden(polished.heads["body"])
    assert 0.040 < np.ptp(body[:, 2]) < 0.050
    assert 0.035 < np.ptp(body[:, 0]) < 0.045
    for landing in (1, 13, 25, 37):
        step = body[landing - 1 : landing + 12, 2]
        assert 1 <= int(np.argmin(step[:8])) <= 3, "lowest just after contact"
        assert 5 < int(np.argmax(step)) < 11, "highest after passing"
    assert body[6, 0] > 0.015, "over the left foot while it stands"
    assert body[18, 0] < -0.015


def test_the_head_is_steadier_than_the_pelvis_asks(polished):
    head = polished.ridden(polished.tails["head"])[:24]
    assert np.ptp(head[:, 0]) < 0.06
    assert np.ptp(head[:, 2]) < 0.05


def test_arms_swing_against_the_legs(polished):
    left = -polished.ridden(polished.heads["hand.L"])[:, 1]
    right = -polished.ridden(polished.heads["hand.R"])[:, 1]
    assert left[12] > 0.2 > 0.0 > left[0]
    assert right[0] > right[12]
    assert np.ptp(right) < 0.6 * np.ptp(left), "the arm with the boathook swings less"


def test_nothing_goes_under_the_floor(polished, first):
    assert polished.lowest.min() > -3e-3
    assert first.lowest.min() > -3e-3
    for side in SIDES:
        toe = polished.tails[f"toe.{side}"][:, 2]
        landing = LANDINGS[side][0]
        swing = (np.arange(landing + 16, landing + 23) - 1) % 48
        assert toe[swing].min() > 0.025, "the foot clears the floor"


def test_frame_49_repeats_frame_1(polished):
    for ends in (polished.heads, polished.tails):
        for points in ends.values():
            ridden = polished.ridden(points)
            assert np.linalg.norm(ridden[-1] - ridden[0]) < 1e-4


def test_the_first_pass_differs_exactly_where_it_was_planted(polished, first):
    assert_differs_only_where_planted(FRAMES, first, polished, brisk_walk.PLANTED)


def test_the_planted_faults_have_their_sizes(polished, first):
    _, seam, neck, hitch, root = (fault["frames"] for fault in brisk_walk.PLANTED)
    assert 0.05 < gap(first, polished, "forearm.L")[47] < 0.07
    assert 0.03 < gap(first, polished, "head")[neck[0] - 1] < 0.04
    assert 0.03 < gap(first, polished, "body")[root[0] - 1] < 0.035
    assert seam[1] == 49
    held = first.bend("upper_arm.L", "forearm.L")[hitch[0] - 2 : hitch[1]]
    assert np.ptp(held) < 1e-3, "the arm keeps its pose"
    assert 0.12 < gap(first, polished, "hand.L")[hitch[1] - 1] < 0.22
    for side in SIDES:
        knee = first.knee(side)
        assert knee.min() > 8.0
        assert gap(first, polished, f"foot.{side}")[root[0] - 1] < 1e-4, "planted feet stay"


def test_the_checks_find_what_was_planted_and_nothing_else(ext):
    findings = {}
    for kind in ("first", "polished"):
        rig = built(brisk_walk, polished=kind == "polished")
        (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
        findings[kind] = ext.analysis.check_clip(clip).findings
    assert findings["polished"] == ()
    assert all(finding.severity == "major" for finding in findings["first"])
    assert None not in match(brisk_walk.PLANTED, [vars(each) for each in findings["first"]])
    assert len(findings["first"]) == len(brisk_walk.PLANTED)


def test_feet_bear_as_long_as_they_are_planted(ext):
    """Frames 1 to 14 of a stride of 24, as keyed; of fast walkers' strides about 58 % (Perry &
    Burnfield 2010, Gait Analysis, 2nd ed., from memory: 62 % at free speed, less when faster)."""
    rig = built(brisk_walk, polished=True)
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    found = ext.analysis.check_clip(clip).measures
    for side in ("left", "right"):
        assert found[f"foot_contact_{side}_share"] == pytest.approx(14 / 24)
    assert found["double_support_share"] == pytest.approx(4 / 24)
    assert found["air_share"] == 0.0
