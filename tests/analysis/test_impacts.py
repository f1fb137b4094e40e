# SPDX-License-Identifier: GPL-3.0-or-later
"""What hits the floor, and what that jolts.

Speeds are compared with free fall: from a height h a body arrives with sqrt(2 g h).
"""

from dataclasses import replace

import numpy as np
import pytest
from figures import arrays, figure, pose, spike, to_clip
from pictures import shot
from test_no_figure import prop
from walker import hop

from analysis import Clip, Settings, check_clip
from analysis.basis import build_basis
from analysis.com_point import com_basis
from analysis.impacts import Impacts, hit_measures
from analysis.screen import on_picture

ASK = Settings(cycle="no")
G, LYING, BEFORE_S, AFTER_S = 9.80665, 0.06, 0.8, 1.2


def heights(fps, fall_m):
    """(T,) metres: it hangs, falls freely, and lies; and the sample on which it first lies."""
    time = np.arange(round((BEFORE_S + AFTER_S) * fps)) / fps - BEFORE_S
    falls = np.sqrt(2.0 * fall_m / G)
    up = LYING + fall_m - 0.5 * G * np.maximum(time + falls, 0.0) ** 2
    lies = int(np.argmax(up <= LYING + 1e-9))
    up[lies:] = LYING
    return up, lies


def on_its_back(up, fps=24.0, scale=1.0, swing=None, throws=None):
    """A figure that lies flat in the air at heights up (T,); throws {joint: (T,3)} metres."""
    turns = {"root": np.full(len(up), -0.5 * np.pi), **(swing or {})}
    root = np.stack((0.0 * up, 0.0 * up, up), axis=-1)
    turn, place = pose(turns, root, len(up))
    clip = to_clip(turn, scale * place, fps, scale, {"floor_z": 0.0})
    places = clip.positions.copy()
    for joint, shift in (throws or {}).items():
        places[:, clip.joint(joint)] += scale * shift
    return replace(clip, positions=places)


def speeds(clip):
    basis = build_basis(clip, ASK)
    return basis, Impacts(basis).speeds / basis.height.scene_m


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("scale", [1.0, 10.0])
@pytest.mark.parametrize("fall_m", [0.25, 0.9])
def test_a_fall_jolts_the_whole_figure_by_the_speed_that_it_arrives_with(fps, scale, fall_m):
    up, lies = heights(fps, fall_m)
    basis, found = speeds(on_its_back(up, fps, scale))
    arrives = np.sqrt(2.0 * G * fall_m) * scale / basis.height.scene_m
    slower = 2.0 * G / fps * scale / basis.height.scene_m  # of two steps before it lies
    assert (found[lies] > 0.0).all()
    assert arrives - slower <= found.max() <= arrives
    assert not found[: lies - 3].any()
    assert not found[lies + round(0.2 * fps) :].any()


@pytest.mark.parametrize("fps", [24.0, 60.0])
def test_what_is_laid_down_has_hit_nothing(fps):
    time = np.arange(round(2 * fps)) / fps
    up = np.maximum(LYING, LYING + 0.6 - 0.9 * time)
    assert not speeds(on_its_back(up, fps))[1].any()
    assert hit_measures(build_basis(on_its_back(up, fps), ASK)) == {}


def test_feet_that_land_jolt_nothing():
    assert not speeds(hop())[1].any()
    assert not speeds(figure())[1].any()


def test_what_jumps_down_for_a_frame_has_hit_nothing():
    up = np.full(48, LYING + 0.15) - spike(48, 20, 0.15) - spike(48, 30, 0.15, 3)
    assert not speeds(on_its_back(up))[1].any()


def test_what_sticks_near_the_floor_and_falls_on_has_hit_nothing_there():
    up, lies = heights(24.0, 0.9)
    near = np.argmax(up < LYING + 0.25)
    stuck = np.concatenate((up[:near], np.full(3, LYING + 0.05), np.full(30, LYING - 0.04)))
    found = speeds(on_its_back(stuck))[1]
    assert not found[near - 2 : near + 1].any()
    assert speeds(on_its_back(up))[1][lies].any()


def test_an_arm_that_slams_down_jolts_that_arm_alone():
    angle = np.maximum(1.2 - 0.5 * 60.0 * (np.arange(48) / 24.0 - 1.0).clip(0.0) ** 2, 0.0)
    clip = on_its_back(np.full(48, 0.02), swing={"upper_arm.L": -angle})
    basis, found = speeds(clip)
    jolted = {basis.bodies[n].part for n in np.flatnonzero(found.any(axis=0))}
    assert jolted == {"upper_arm.L", "forearm.L", "hand.L"}


def pops(fps, at_s, size, scale=1.0, fall_m=0.9):
    """Findings of `pop` where a hand jumps aside for a frame, so long after it lies."""
    up, lies = heights(fps, fall_m)
    jump = np.zeros((len(up), 3))
    jump[lies + round(at_s * fps), 0] = size
    clip = on_its_back(up, fps, scale, throws={"hand.R": jump})
    return check_clip(clip, replace(ASK, checks=("pop",))).findings


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("scale", [1.0, 10.0])
def test_as_far_as_a_fall_jolts_a_hand_nothing_pops(fps, scale):
    assert not pops(fps, 0.0, 0.08, scale)
    for at_s in (-0.3, 0.4):
        found = pops(fps, at_s, 0.08, scale)
        assert [each.part for each in found] == ["hand.R"]


def test_what_goes_further_than_the_hit_in_a_frame_pops():
    arrives = np.sqrt(2.0 * G * 0.9)
    assert [each.part for each in pops(24.0, 0.0, 1.3 * arrives / 24.0)] == ["hand.R"]


def sticks(count, at, pace, stuck):
    """(T,) radians: turns evenly, stands for `stuck` samples, and catches up on sample `at`."""
    angle = pace * np.arange(count, dtype=float)
    angle[at - stuck : at] = angle[at - stuck - 1]
    return angle - angle[at]


def sets_off(count, at):
    """(T,) radians: at rest up to sample `at`, then at full speed, slower and slower."""
    return 0.8 * (1.0 - np.exp(-0.25 * np.maximum(np.arange(count) - at, 0.0)))


def faults(check, at_s):
    """What a check says of a fault so long after a body lies, in a fall that is none."""
    up, lies = heights(24.0, 0.9)
    count, at = len(up), lies + round(at_s * 24.0)
    bent = 0.12 + 0.1 * spike(count, at, 1.0)
    swing = {
        "hard_start": {"upper_arm.L": np.full(count, -1.5), "hand.L": sets_off(count, at)},
        "hitch": {"forearm.L": -1.5 - sticks(count, at, 0.09, 3)},
        "stuck_turn": {
            "upper_arm.L": -0.02 * np.arange(count),
            "hand.L": sticks(count, at, 0.08, 4),
        },
        "knee_pop": {"shin.R": 2.0 * bent, "thigh.R": -bent},
    }[check]
    return check_clip(on_its_back(up, swing=swing), replace(ASK, checks=(check,))).findings


def test_what_is_seen_on_the_picture_is_compared_there():
    up, lies = heights(24.0, 0.9)
    clip = on_its_back(up)
    world = build_basis(clip, ASK)
    seen = on_picture(build_basis(shot(clip).seen(clip), ASK))
    hand = world.body("hand.R")
    jolt = Impacts(world).speeds[lies, hand] / 24.0
    for share, explained in ((0.98, True), (1.02, False)):
        assert Impacts(world).explain(hand, lies, lies, share * jolt) == explained
        size = share * jolt * seen.usual_scale[hand]
        assert Impacts(seen).explain(hand, lies, lies, size) == explained


def test_the_centre_of_mass_is_jolted_with_what_leads():
    up, lies = heights(24.0, 0.9)
    world = build_basis(on_its_back(up), ASK)
    point = com_basis(world)
    jolt = Impacts(world).speeds[lies, world.lead] / 24.0
    assert Impacts(point).explain(0, lies, lies, 0.98 * jolt)
    assert not Impacts(point).explain(0, lies, lies, 1.02 * jolt)
    assert not Impacts(point).explain(0, 3, 4, 0.01)


@pytest.mark.parametrize("check", ["hard_start", "hitch", "stuck_turn", "knee_pop"])
def test_what_a_fall_jolts_is_no_fault_and_the_same_is_one_beside_it(check):
    assert not faults(check, 0.0)
    for at_s in (-0.35, 0.4):
        assert [each.check for each in faults(check, at_s)] == [check]


def test_the_hardest_hit_is_a_measure():
    up, _lies = heights(30.0, 0.9)
    basis = build_basis(on_its_back(up, 30.0), ASK)
    told = check_clip(on_its_back(up, 30.0), ASK).measures["hit_m_s"]
    assert told == hit_measures(basis)["hit_m_s"]
    assert 3.4 < told < np.sqrt(2.0 * G * 0.9) + 0.01


@pytest.mark.parametrize("count", [2, 3, 4, 5, 8])
def test_short_ranges_have_no_hits_or_are_known(count):
    up, lies = heights(24.0, 0.9)
    found = speeds(on_its_back(up[lies - count // 2 : lies - count // 2 + count]))[1]
    assert np.isfinite(found).all()
    assert found.any() == (count > 5)


def test_gaps_and_figures_without_parts_give_numbers():
    up, lies = heights(24.0, 0.9)
    clip = on_its_back(up)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[lies - 3 : lies + 2] = False
    assert np.isfinite(speeds(replace(clip, valid=valid))[1]).all()
    assert not speeds(prop())[1].any()
    assert not speeds(Clip(**arrays()))[1].any()
