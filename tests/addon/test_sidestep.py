# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter's sidestep: feet stand, the body is carried by them, the hook passes clear."""

import bpy
import numpy as np
import pytest
from recorded import assert_checks_find_what_was_planted, record
from stepped import SIDES, assert_differs_only_where_planted, built

from demo_scenes.porter import sidestep
from demo_scenes.porter.sidestep import crane
from demo_scenes.porter.sidestep.timing import LANDS_BACK, LANDS_OUT, LAST, LEAVES, LEAVES_OUT

GRAVITY = 9.80665


@pytest.fixture(scope="module")
def polished():
    return record(sidestep, polished=True)


@pytest.fixture(scope="module")
def first():
    return record(sidestep, polished=False)


def test_the_scene_plays_once_for_three_seconds(polished):
    assert (polished.frames[0], polished.frames[-1]) == (1, 72)
    rig = built(sidestep, polished=True)
    scene, action = bpy.context.scene, rig.animation_data.action
    assert (scene.name, scene.render.fps) == ("sidestep", 24)
    assert action.name == "sidestep"
    assert not action.use_cyclic


def test_planted_feet_stand_still(polished):
    for span in ((1, LEAVES), (LANDS_OUT, LEAVES_OUT), (LANDS_BACK, LAST)):
        assert polished.drift("ball.L", *span).max() < 2e-3
    assert polished.drift("ball.R", 1, LAST).max() < 2e-3, "the right foot stays on its ball"


def test_the_left_foot_steps_out_half_a_metre_and_back_without_flight(polished):
    heel = polished.soles["heel.L"]
    out = heel[polished.at(LANDS_OUT)] - heel[0]
    assert 0.52 < out[0] < 0.58
    assert np.linalg.norm(heel[-1] - heel[0]) < 1e-3
    for a, b in ((LEAVES + 2, LANDS_OUT - 2), (LEAVES_OUT + 2, LANDS_BACK - 2)):
        assert polished.soles["ball.L"][polished.span(a, b), 2].min() > 0.025
    assert np.abs(polished.soles["ball.R"][:, 2]).max() < 3e-3


@pytest.mark.parametrize("side", SIDES)
def test_knees_never_lock_or_snap_and_point_forward(polished, first, side):
    knee = polished.knee(side)
    assert knee.min() > 12.0
    assert np.abs(np.diff(knee)).max() < 18.0
    assert np.abs(np.diff(knee, n=2)).max() < 18.0
    assert first.knee(side).min() > 12.0
    hip, ankle = polished.heads[f"thigh.{side}"], polished.tails[f"shin.{side}"]
    ahead = (hip + ankle)[:, 1] / 2.0 - polished.tails[f"thigh.{side}"][:, 1]
    assert ahead.min() > 0.02


def test_the_centre_of_mass_is_slowest_at_the_side_and_turns_there(polished):
    x = polished.centre()[:, 0]
    turn = polished.frames[int(np.argmax(x))]
    assert 27 <= turn <= 29
    assert 0.30 < x.max() < 0.38
    speed = np.abs(np.gradient(x)) * 24
    assert speed[polished.span(turn - 1, turn + 1)].max() < 0.25
    assert speed[polished.span(LANDS_OUT - 1, LANDS_OUT)].min() > 0.7
    assert speed[polished.at(LEAVES_OUT)] > 0.6, "pushed back before the foot leaves"


def test_what_carries_the_body_stays_under_the_feet(polished):
    """The pressure point that the centre of mass's motion asks for, against the soles."""
    centre, two = polished.centre(), 2.0 / 24.0
    pushed = (centre[4:] - 2.0 * centre[2:-2] + centre[:-4]) / two**2
    height = centre[2:-2, 2:] / (GRAVITY + pushed[:, 2:])
    point = (centre[2:-2, :2] - pushed[:, :2] * height)[:, 0]
    left, right = (polished.soles[f"ball.{side}"][2:-2, 0] for side in SIDES)
    assert (point - right).min() > -0.12
    assert (point - left).max() < 0.08
    lifted = polished.span(LEAVES + 1, LANDS_OUT - 4)
    assert point[lifted.start - 2 : lifted.stop - 2].max() < 0.05, "on the right foot alone"


def test_nothing_goes_under_the_floor(polished, first):
    assert polished.lowest.min() > -3e-3
    assert first.lowest.min() > -3e-3
    assert polished.pole[..., 2].min() > 0.3


def test_the_hook_swings_as_its_length_asks_and_crosses_where_the_porter_stood():
    built(sidestep, polished=True)
    place = np.array([hook_place(frame) for frame in range(1, 101)])
    behind = place[:, 1]
    turns = np.flatnonzero(np.diff(np.sign(np.diff(behind)))) + 2
    half = crane.period_s() * 24 / 2.0
    assert np.diff(turns) == pytest.approx(half, abs=1.0)
    assert half == pytest.approx(np.pi * np.sqrt(crane.LENGTH / GRAVITY) * 24, rel=0.02)
    crosses = place[crane.PASSES - 1]
    assert abs(crosses[1]) < 0.05
    assert -0.15 < crosses[0] < 0.05, "through where he stood"
    back = place[round(crane.PASSES + half) - 1]
    assert back[0] < -0.9, "and past him on its way back"


def test_the_hook_passes_clear_of_the_porter(polished):
    built(sidestep, polished=True)
    for frame in range(22, 40):
        hook = hook_place(frame)
        for bone in ("head", "neck", "chest", "upper_arm.R", "forearm.R", "hand.R"):
            ends = (
                polished.heads[bone][polished.at(frame)],
                polished.tails[bone][polished.at(frame)],
            )
            for end in ends:
                assert np.linalg.norm(end - hook) > 0.25


def hook_place(frame):
    """The middle of the hook block."""
    scene = bpy.context.scene
    scene.frame_set(frame)
    turned = bpy.data.objects["crane_hook"].matrix_world
    return np.array(turned)[:3] @ (0.0, 0.0, -crane.LENGTH, 1.0)


def test_the_first_pass_differs_exactly_where_it_was_planted(polished, first):
    assert_differs_only_where_planted(polished.frames, first, polished, sidestep.PLANTED)


def test_the_planted_faults_have_their_sizes(polished, first):
    def apart(bone):
        return np.linalg.norm(first.tails[bone] - polished.tails[bone], axis=1)

    faults = {(each["check"], each["part"]): each["frames"] for each in sidestep.PLANTED}
    slide = faults["slide", "foot.L"]
    assert 0.05 < apart("head")[first.at(faults["pop", "head"][0])] < 0.08
    assert 0.03 < apart("body")[first.at(faults["pop", "root"][0])] < 0.05
    assert 0.055 < first.drift("ball.L", LANDS_OUT, LEAVES_OUT).max() < 0.07
    assert slide[0] > LANDS_OUT
    middle = first.drift("ball.L", LANDS_OUT + 2, LEAVES_OUT - 2).max()
    assert middle > 0.045, "most of it in the middle of the plant"


def test_the_left_arm_flies_out_without_ease_and_sticks_on_its_way_back(polished, first):
    """By the elbow's bend, degrees a frame."""
    dead, eased = (
        np.abs(np.diff(each.bend("upper_arm.L", "forearm.L"))) for each in (first, polished)
    )
    assert dead[: first.at(18)].max() < 1e-3 < 2.0 < eased[: first.at(18)].max()
    assert dead[first.at(18)] > 4.0
    held = [first.at(frame) for frame in (38, 39, 40)]
    assert dead[held].max() < 1e-3 < 1.5 < eased[held].min()
    assert dead[first.at(41)] > 3.0 * eased[held].max()
    hand = np.linalg.norm(first.tails["hand.L"] - polished.tails["hand.L"], axis=1)
    assert 0.10 < hand[first.at(41)] < 0.20


def test_the_checks_find_what_was_planted_and_nothing_else(ext):
    assert_checks_find_what_was_planted(ext, sidestep)
