# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter's short stop: the walk goes over into it, feet stand, the body is braked by them."""

import bpy
import numpy as np
import pytest
from recorded import assert_checks_find_what_was_planted, record
from stepped import SIDES, assert_differs_only_where_planted, built

from demo_scenes.porter import brisk_walk, stop_short
from demo_scenes.porter.stop_short.quay_edge import CAMERA
from demo_scenes.porter.stop_short.timing import BESIDE, BRAKES, LAST, RIGHT_LEAVES

GRAVITY = 9.80665
# Where each foot is planted, from flat or from its landing on the ball.
PLANTS = {"L": ((5, 14), (31, LAST)), "R": ((17, RIGHT_LEAVES), (BESIDE, LAST))}


@pytest.fixture(scope="module")
def polished():
    return record(stop_short, polished=True)


@pytest.fixture(scope="module")
def first():
    return record(stop_short, polished=False)


def test_the_scene_plays_once(polished):
    assert (polished.frames[0], polished.frames[-1]) == (1, 66)
    rig = built(stop_short, polished=True)
    scene, action = bpy.context.scene, rig.animation_data.action
    assert (scene.name, scene.render.fps) == ("stop_short", 24)
    assert action.name == "stop_short"
    assert not action.use_cyclic
    assert np.ptp(polished.heads["mover"], axis=0).max() == 0.0, "the mover stays"


def test_the_first_step_is_the_brisk_walk(polished):
    walk = record(brisk_walk, polished=True)
    for bone in ("body", "chest", "head", "hand.R", "foot.L", "foot.R"):
        gap = np.linalg.norm(polished.tails[bone][:13] - walk.tails[bone][:13], axis=1)
        assert gap.max() < 0.02, bone


@pytest.mark.parametrize("side", SIDES)
def test_planted_feet_stand_still(polished, side):
    for span in PLANTS[side]:
        assert polished.drift(f"ball.{side}", *span).max() < 2e-3
    if side == "L":
        assert polished.drift("heel.L", BRAKES, 36).max() < 2e-3, "the heel holds from landing on"


@pytest.mark.parametrize("side", SIDES)
def test_knees_never_lock_or_snap_and_point_forward(polished, first, side):
    knee = polished.knee(side)
    assert knee.min() > 12.0
    assert np.abs(np.diff(knee)).max() < 17.0
    assert np.abs(np.diff(knee, n=2)).max() < 12.0
    assert first.knee(side).min() > 12.0
    hip, ankle = polished.heads[f"thigh.{side}"], polished.tails[f"shin.{side}"]
    ahead = (hip + ankle)[:, 1] / 2.0 - polished.tails[f"thigh.{side}"][:, 1]
    assert ahead.min() > 0.02


def test_the_heel_brakes_far_ahead_and_the_other_foot_comes_beside(polished):
    heel, other = polished.soles["heel.L"][:, 1], polished.soles["heel.R"][:, 1]
    centre = polished.centre()[:, 1]
    at = polished.at(BRAKES)
    assert polished.soles["heel.L"][at, 2] < 2e-3 < 0.08 < polished.soles["ball.L"][at, 2]
    assert centre[at] - heel[at] > 0.35, "well behind the heel that brakes"
    assert abs(heel[-1] - other[-1]) < 0.05
    swing = polished.span(29, 34)
    assert polished.soles["ball.R"][swing, 2].min() > 0.04, "the foot clears the floor"


def test_the_body_leans_back_to_brake_and_tips_forward_after(polished):
    lean = polished.tails["chest"][:, 1] - polished.heads["body"][:, 1]
    assert lean[polished.at(29)] > 0.08
    assert lean[polished.span(42, 46)].min() < -0.05
    chest = int(np.argmin(lean[30:56]))
    head = polished.tails["head"][:, 1] - polished.heads["body"][:, 1]
    assert chest <= int(np.argmin(head[30:56])) + 1, "the head does not lead"


def test_the_centre_of_mass_is_braked_by_what_the_feet_can_press(polished):
    centre, two = polished.centre(), 2.0 / 24.0
    pushed = (centre[4:] - 2.0 * centre[2:-2] + centre[:-4]) / two**2
    height = centre[2:-2, 2:] / (GRAVITY + pushed[:, 2:])
    point = (centre[2:-2, :2] - pushed[:, :2] * height)[:, 1]
    brakes = slice(polished.at(28) - 2, None)
    heels = polished.soles["heel.L"][-1, 1]
    assert point[brakes].max() < heels
    assert point[brakes].min() > heels - 0.27, "not beyond the toes"
    speed = np.gradient(centre[:, 1]) * 24
    assert speed[3] == pytest.approx(-1.65, abs=0.1)
    assert np.abs(speed[polished.at(56) :]).max() < 0.06


def test_it_stops_before_the_edge_and_settles(polished):
    tip = polished.tails["toe.L"][-1, 1]
    edge = min((stop_floor().matrix_world @ vertex.co).y for vertex in stop_floor().data.vertices)
    assert 0.05 < tip - edge < 0.2
    for bone in ("hand.L", "hand.R", "head"):
        speed = np.linalg.norm(np.diff(polished.tails[bone], axis=0), axis=1) * 24
        assert speed[-3:].max() < 0.1, bone


def stop_floor():
    if "quay_floor" not in bpy.data.objects:
        built(stop_short, polished=True)
        bpy.context.view_layer.update()
    return bpy.data.objects["quay_floor"]


def test_nothing_goes_under_the_floor(polished, first):
    assert polished.lowest.min() > -3e-3
    assert first.lowest.min() > -3e-3
    assert polished.pole[..., 2].min() > 0.3


def test_the_camera_follows_him_in_and_comes_to_rest_after_him(polished):
    away = polished.centre() - CAMERA
    aside = np.degrees(np.arctan2(away[:, 1], away[:, 0]))
    aside -= np.degrees(np.arctan2(polished.view[:, 1], polished.view[:, 0]))
    aside = (aside + 180.0) % 360.0 - 180.0
    assert np.ptp(aside) < 6.0, "he keeps his place in the picture"
    pan = np.degrees(np.linalg.norm(np.diff(polished.view, axis=0), axis=1))
    assert 0.3 < pan[polished.span(4, 20)].max() < 0.8
    assert np.abs(np.diff(pan)).max() < 0.05, "evenly"
    assert pan[-8:].max() < 0.02


def test_the_first_pass_differs_exactly_where_it_was_planted(polished, first):
    assert_differs_only_where_planted(polished.frames, first, polished, stop_short.PLANTED)
    (jump,) = [fault for fault in stop_short.PLANTED if fault["part"] == "camera"]
    apart = np.degrees(np.linalg.norm(first.view - polished.view, axis=1))
    at = first.at(jump["frames"][0])
    assert 1.2 < apart[at] < 1.8
    assert np.delete(apart, at).max() < 1e-4


def test_the_planted_faults_have_their_sizes(polished, first):
    faults = {(each["check"], each["part"]): each["frames"] for each in stop_short.PLANTED}

    def apart(bone):
        return np.linalg.norm(first.tails[bone] - polished.tails[bone], axis=1)

    assert 0.05 < apart("forearm.L")[first.at(faults["pop", "forearm.L"][0])] < 0.08
    tip = np.linalg.norm(first.pole - polished.pole, axis=-1)[first.at(faults["pop", "hand.R"][0])]
    assert 0.2 < tip.max() < 0.6, "the tip of the boathook dips"
    assert first.drift("heel.L", 29, 45).max() == pytest.approx(0.06, abs=0.005)
    assert apart("foot.R").max() < 1e-4


def test_the_left_arm_stops_dead_while_the_polished_one_eases_in(polished, first):
    """By the elbow's bend, degrees a frame."""
    dead, eased = (
        np.abs(np.diff(each.bend("upper_arm.L", "forearm.L"))) for each in (first, polished)
    )
    stops = first.at(35)
    assert dead[stops - 1] > 4.0
    assert dead[stops : stops + 5].max() < 1e-3
    into = eased[polished.at(36) : polished.at(42)]
    assert (np.diff(into) < 0.0).all()
    assert into[-1] < 1.5


def test_the_body_stands_dead_while_the_arms_fall(first):
    stands = first.heads["body"][first.span(45, 60)]
    assert np.abs(stands - stands[0]).max() < 1e-5
    for hand in ("hand.L", "hand.R"):
        falls = first.tails[hand][first.span(45, 60)]
        assert np.linalg.norm(falls[-1] - falls[0]) > 0.15, hand


def test_the_checks_find_what_was_planted_and_nothing_else(ext):
    assert_checks_find_what_was_planted(ext, stop_short)
