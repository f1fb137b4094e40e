# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter's brisk walk: planted feet stand, knees never lock, faults are where they belong."""

from dataclasses import dataclass

import bpy
import numpy as np
import pytest

from demo_scenes.porter import brisk_walk

FRAMES = np.arange(1, 50)
SIDES = ("L", "R")
# Flat foot to heel-off, counted from the frame on which the foot lands.
FLAT = slice(3, 8)
LANDINGS = {"L": (1, 25), "R": (13, 37)}
SPEED = 1.65 / 24


@dataclass(frozen=True)
class Pass:
    """Evaluated motion: bone heads and tails (49,3) by name, lowest point of the body (49,)."""

    heads: dict[str, np.ndarray]
    tails: dict[str, np.ndarray]
    lowest: np.ndarray
    range: tuple[int, int]

    def ridden(self, points):
        """Points as seen by somebody who walks along with the mover."""
        return points - self.heads["mover"]

    def bend(self, upper, lower):
        """Degrees by which a joint is off straight."""
        one, two = (self.tails[bone] - self.heads[bone] for bone in (upper, lower))
        cosine = (one * two).sum(axis=1) / np.linalg.norm(one, axis=1) / np.linalg.norm(two, axis=1)
        return np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))


def record(polished):
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    rig = brisk_walk.build(polished=polished)
    scene = bpy.context.scene
    span = scene.frame_start, scene.frame_end
    graph = bpy.context.evaluated_depsgraph_get()
    heads, tails, lowest = {}, {}, []
    for frame in FRAMES:
        scene.frame_set(int(frame))
        for bone in rig.evaluated_get(graph).pose.bones:
            heads.setdefault(bone.name, []).append(bone.head[:])
            tails.setdefault(bone.name, []).append(bone.tail[:])
        lowest.append(lowest_point(bpy.data.objects["porter_body"].evaluated_get(graph)))
    arrays = [{name: np.array(rows) for name, rows in each.items()} for each in (heads, tails)]
    return Pass(*arrays, np.array(lowest), span)


def lowest_point(body):
    mesh = body.to_mesh()
    points = np.zeros(3 * len(mesh.vertices), dtype=np.float32)
    mesh.vertices.foreach_get("co", points)
    body.to_mesh_clear()
    return float(points[2::3].min())


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
    knee = polished.bend(f"thigh.{side}", f"shin.{side}")
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
    apart = np.max(
        [
            np.linalg.norm(first.tails[bone] - polished.tails[bone], axis=1)
            for bone in polished.tails
        ],
        axis=0,
    )
    planted = {
        frame
        for fault in brisk_walk.PLANTED
        for frame in range(fault["frames"][0], fault["frames"][1] + 1)
    }
    assert set(FRAMES[apart > 1e-4]) == planted
    assert apart[~np.isin(FRAMES, sorted(planted))].max() < 2e-5


def test_the_planted_faults_have_their_sizes(polished, first):
    def apart(bone):
        return np.linalg.norm(first.tails[bone] - polished.tails[bone], axis=1)

    _, seam, neck, root = (fault["frames"] for fault in brisk_walk.PLANTED)
    assert 0.05 < apart("forearm.L")[47] < 0.07
    assert 0.03 < apart("head")[neck[0] - 1] < 0.04
    assert 0.025 < apart("body")[root[0] - 1] < 0.03
    assert seam[1] == 49
    for side in SIDES:
        knee = first.bend(f"thigh.{side}", f"shin.{side}")
        assert knee.min() > 8.0
        assert apart(f"foot.{side}")[root[0] - 1] < 1e-4, "planted feet stay"
