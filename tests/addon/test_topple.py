# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter faints: he tips as a body tips, his weight falls as it must, and he lies still."""

import bpy
import numpy as np
import pytest
from recorded import assert_checks_find_what_was_planted, record
from stepped import SIDES, assert_differs_only_where_planted, built

from demo_scenes.porter import topple
from demo_scenes.porter.channels import channel
from demo_scenes.porter.key_edits import find_curve
from demo_scenes.porter.topple.limp import fall
from demo_scenes.porter.topple.motion import from_the_side
from demo_scenes.porter.topple.points import AT, LINKS, REST, masses, rest
from demo_scenes.porter.topple.timing import FALLS, LAST, LIES, SITS, STILL

FPS, GRAVITY, HEIGHT = 24, 9.80665, 1.75
HEEL = -0.05  # metres ahead of the rest pose's origin


@pytest.fixture(scope="module")
def polished():
    return record(topple, polished=True)


@pytest.fixture(scope="module")
def first():
    return record(topple, polished=False)


def from_side(centre):
    """(T,2) metres ahead and up."""
    return np.stack([-centre[:, 1], centre[:, 2]], axis=1)


def centre_of(points):
    """(T,2) centre of mass of points (T,P,2)."""
    return (points * masses()[:, None]).sum(axis=1)


def acceleration(path):
    """(T-2,2) metres a second squared, from the second frame on."""
    return np.diff(path, n=2, axis=0) * FPS**2


def test_the_scene_plays_once_for_four_and_a_half_seconds(polished):
    assert (polished.frames[0], polished.frames[-1]) == (1, LAST)
    assert LAST / FPS == 4.5
    rig = built(topple, polished=True)
    scene, action = bpy.context.scene, rig.animation_data.action
    assert (scene.name, scene.render.fps) == ("topple", FPS)
    assert action.name == "topple"
    assert not action.use_cyclic
    assert bpy.data.objects["boathook"].parent is None, "it lies on the quay"


def test_a_body_that_nothing_touches_falls_freely_whatever_its_limbs_do():
    start = rest() + (0.0, 5.0)
    speeds = np.zeros_like(start)
    speeds[AT["fingers.L"]] = (3.0, 1.0)
    limbs = fall(start, speeds, seconds=0.5, fps=FPS, steps=40, fades=0.1, targets={})
    centre, time = centre_of(limbs), np.arange(len(limbs)) / FPS
    thrown = masses()[AT["fingers.L"]] * speeds[AT["fingers.L"]]
    due = centre[0] + thrown * time[:, None]
    due[:, 1] -= 0.5 * GRAVITY * time**2
    assert np.ptp(limbs - centre[:, None], axis=0).max() > 0.1, "the arm swings"
    # steps of 1/960 s put it half a step's fall lower
    assert np.abs(centre - due).max() < 0.003


def test_links_keep_their_lengths():
    points = from_the_side()
    for a, b in LINKS:
        now = np.linalg.norm(points[:, AT[a]] - points[:, AT[b]], axis=1)
        assert now == pytest.approx(np.hypot(*np.subtract(REST[a], REST[b])), rel=0.01), (a, b)


def test_the_rig_s_centre_of_mass_goes_where_the_fall_has_it(polished):
    due, seen = centre_of(from_the_side()), from_side(polished.centre())
    assert np.linalg.norm(seen - due, axis=1).max() < 0.015
    assert np.abs(acceleration(seen - due)).max() < 0.2 * GRAVITY


def test_stiff_he_tips_slower_than_a_pendulum_and_faster_than_a_rod(polished):
    """How the lean about the heels speeds up: g/d of a mass at d, 3g/2L of an even rod."""
    centre = from_side(polished.centre()) - (HEEL, 0.0)
    lean = np.arctan2(-centre[:, 0], centre[:, 1])
    gains = np.gradient(np.gradient(lean)) * FPS**2
    tips = polished.span(FALLS + 8, FALLS + 13)
    assert np.degrees(lean[tips]).min() > 5.0
    rate = gains[tips] / np.sin(lean[tips])
    length = np.linalg.norm(centre[tips], axis=1).mean()
    assert 1.5 * GRAVITY / HEIGHT < np.median(rate) < GRAVITY / length


def test_nothing_pulls_him_down_or_aside(polished):
    """The floor presses on the weight, sideways by less than friction gives."""
    pulled = acceleration(from_side(polished.centre()))
    presses = pulled[:, 1] + GRAVITY
    assert presses.min() > -0.05 * GRAVITY
    assert (np.abs(pulled[:, 0]) - 1.2 * presses).max() < 0.15 * GRAVITY
    falls = pulled[polished.span(SITS - 6, SITS - 2), 1]
    assert -1.0 * GRAVITY < falls.mean() < -0.7 * GRAVITY, "his knees hardly brake him"


def test_he_lands_on_his_seat_then_on_back_and_head_and_lies_still(polished):
    height = {bone: polished.heads[bone][:, 2] for bone in ("hips", "chest", "head")}
    sits, lies = polished.at(SITS), polished.at(LIES + 1)
    assert height["hips"][sits] < 0.16 < 0.25 < height["chest"][sits]
    assert height["head"][sits] > 0.35
    assert max(each[lies + 1] for each in height.values()) < 0.16
    still = polished.span(STILL, LAST)
    for bone in ("body", "chest", "hand.L", "hand.R", "foot.L"):
        assert np.ptp(polished.tails[bone][still], axis=0).max() < 0.02


def test_heels_stay_and_knees_never_lock(polished, first):
    for each in (polished, first):
        for side in SIDES:
            assert each.drift(f"heel.{side}", 1, LAST).max() < 2e-3
            assert each.knee(side).min() > 6.0
    assert polished.knee("L").min() > 12.0


def test_nothing_goes_under_the_floor(polished):
    assert polished.lowest.min() > -4e-3
    assert np.abs(polished.pole[..., 2] - 0.022).max() < 1e-4, "the boathook lies flat"


def test_arms_trail_behind_the_falling_chest(polished):
    """In the fall the hands stay higher against the shoulders than they hang at first."""
    drop = polished.heads["upper_arm.L"][:, 2] - polished.tails["hand.L"][:, 2]
    assert drop[0] > 0.6
    assert drop[polished.at(SITS - 2)] < 0.5


def test_the_first_pass_differs_exactly_where_it_was_planted(polished, first):
    assert_differs_only_where_planted(polished.frames, first, polished, topple.PLANTED)


def test_the_planted_faults_have_their_sizes(polished, first):
    def apart(bone):
        return np.linalg.norm(first.tails[bone] - polished.tails[bone], axis=1)

    faults = {(each["check"], each["part"]): each["frames"] for each in topple.PLANTED}
    assert 0.04 < apart("head")[first.at(faults["pop", "head"][0])] < 0.08
    assert 0.08 < apart("hand.R")[first.at(faults["pop", "hand.R"][0])] < 0.15
    hangs = first.span(42, 54)
    behind = HEEL - from_side(first.centre())[hangs, 0]
    assert (hangs.stop - hangs.start) / FPS > 0.5
    assert 0.11 < behind.min() <= behind.max() < 0.14


def test_the_head_sticks_as_it_rolls_aside_and_catches_up():
    target = channel("head", "turn")
    rolls, sticks = (
        [find_curve(rig, target).evaluate(frame) for frame in range(88, 97)]
        for rig in (built(topple, polished=each) for each in (True, False))
    )
    assert np.degrees(np.abs(np.diff(rolls))).max() < 5.0
    assert np.ptp(sticks[1:6]) < 1e-5
    assert np.degrees(sticks[6] - sticks[5]) > 12.0
    assert sticks[6:] == pytest.approx(rolls[6:], abs=1e-5)


def test_held_in_mid_fall_he_hardly_sinks_and_lands_four_frames_late(polished, first):
    held, freely = (from_side(each.centre())[:, 1] for each in (first, polished))
    since, until = first.at(66), first.at(70)
    assert freely[since] - freely[until] > 0.15
    assert held[since] - held[until] < 0.06
    for each, lands in ((polished, SITS), (first, SITS + 4)):
        seat = each.heads["hips"][:, 2]
        assert seat[each.at(lands)] < 0.16 < 0.25 < seat[each.at(lands - 1)]


def test_the_checks_find_what_was_planted_and_nothing_else(ext):
    assert_checks_find_what_was_planted(ext, topple)
