# SPDX-License-Identifier: GPL-3.0-or-later
"""`slide` of a whole shot that skates: what carries it goes faster or slower than its feet say.

The truth is the walk's own speed: the travel is multiplied, the feet's way against the body is not.
"""

from dataclasses import replace

import numpy as np
import pytest
from figures import with_mover
from walker import Walk, box, moved, turned, walk, with_supports

from analysis import Settings, check_clip

SLIDE = Settings(cycle="no", checks=("slide",))
FASTER = (0.3, 0.6, 0.8, 0.9, 0.95, 1.05, 1.1, 1.2, 1.4, 2.0)


def skating(plan, times):
    """A walk whose travel is multiplied, with the mover that carries it."""
    clip = walk(plan)
    seconds = np.arange(len(clip.frames)) / plan.fps
    clip = moved(clip, np.outer(seconds, [0.0, -(times - 1.0) * plan.speed, 0.0]))
    return with_mover(clip, np.outer(seconds, [0.0, -times * plan.speed, 0.0]))


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("times", FASTER)
def test_a_walk_that_skates_says_how_fast_it_goes_and_should(fps, times):
    plan = Walk(fps=fps, frames=round(4 * fps))
    shot = check_clip(skating(plan, times), SLIDE)
    (finding,) = shot.findings
    assert (finding.part, finding.severity) == ("mover", "major")
    goes, feet = times * plan.speed, plan.speed
    assert f"goes at {goes:.2f} m/s, the planted feet say {feet:.2f} m/s" in finding.says
    assert ("slip forward" if times > 1.0 else "slip back") in finding.says
    assert not shot.good
    way = np.linalg.norm(finding.suggestion.offset) * 100
    assert finding.amount == pytest.approx(way, abs=0.1)


@pytest.mark.parametrize("times", FASTER)
def test_one_short_round_tells_it_as_well(times):
    """A loop of one stride: two plants, which come again round after round."""
    plan = Walk(frames=24, stride_s=1.0)
    shot = check_clip(skating(plan, times), replace(SLIDE, cycle="yes"))
    (finding,) = shot.findings
    assert finding.part == "mover"
    assert f"planted feet say {plan.speed:.2f} m/s" in finding.says
    assert not check_clip(skating(plan, 1.0), replace(SLIDE, cycle="yes")).findings


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_turned_and_moved_it_is_the_same(fps):
    plan = Walk(fps=fps, frames=round(4 * fps))
    carried = np.outer(np.arange(4 * fps) / fps, [0.0, -0.3 * plan.speed, 0.0])
    clip = moved(walk(plan), carried)
    away = moved(turned(clip, 70.0), np.tile([40.0, 8.0, 2.0], (len(clip.frames), 1)))
    one, other = (check_clip(each, SLIDE).findings[0] for each in (clip, away))
    assert one.part == "root"
    assert "drifts over them at 36 cm/s" in one.says
    assert one.says == other.says
    assert one.frames == other.frames


@pytest.mark.parametrize(
    ("velocity", "rides"),
    [((0.6, 0.0, 0.0), True), ((0.0, -0.6, 0.0), True), ((0.1, 0.0, 0.0), False)],
)
def test_what_is_carried_far_may_ride_on_something(velocity, rides):
    """A tram at a constant speed, across the walk or along it; a hand's breadth is a slip."""
    plan = Walk(frames=96)
    clip = moved(walk(plan), np.outer(np.arange(96) / plan.fps, velocity))
    (finding,) = check_clip(clip, SLIDE).findings
    assert finding.suggestion.text.startswith("Take ")
    assert ("or change the length of the steps." in finding.suggestion.text) is not rides
    told = "or declare what rides along under the feet as a support."
    assert finding.suggestion.text.endswith(told) is rides


@pytest.mark.parametrize("speed", [0.0, 0.2])
def test_a_cycle_that_stays_where_it_is_walks_on_ground_that_moves(speed):
    """A body that drifts by a sixth of what the ground goes is still in place."""
    plan = Walk(frames=96, in_place=True)
    clip = moved(walk(plan), np.outer(np.arange(96) / 24.0, [0.0, -speed, 0.0]))
    shot = check_clip(clip, SLIDE)
    assert not shot.findings
    assert shot.measures["ground_speed_m_s"] == pytest.approx(plan.speed - speed, rel=0.02)


def test_a_stated_ground_is_believed():
    """A moving walkway: what is skated over it is nothing."""
    plan = Walk(frames=96)
    clip = skating(plan, 1.4)
    velocity = np.tile([0.0, -0.4 * plan.speed, 0.0], (96, 1))
    assert not check_clip(replace(clip, ground_velocity=velocity), SLIDE).findings


def test_a_walk_over_a_support_that_rides_along_does_not_skate():
    plan = Walk(frames=96)
    clip = skating(plan, 1.4)
    ride = np.outer(np.arange(96) / 24.0, [0.0, -0.4 * plan.speed, 0.0])
    belt = box((-3, -12, -0.5), (3, 12, 0.0), 96)
    belt[:, :3, 3] += ride
    assert not check_clip(with_supports(clip, belt), SLIDE).findings


def test_the_tolerance_widens_what_may_skate():
    plan = Walk(frames=96)
    for tolerance, seen in (("strict", 1), ("loose", 0)):
        clip = skating(plan, 1.02)  # 1.4 cm in a plant
        found = check_clip(clip, replace(SLIDE, tolerance=tolerance)).findings
        assert len(found) == seen


@pytest.mark.parametrize("frames", [2, 3, 4, 5, 8])
def test_short_ranges_give_an_answer_or_a_reason(frames):
    shot = check_clip(skating(Walk(frames=96), 1.5).cut(20, 20 + frames - 1), SLIDE)
    assert shot.findings or shot.good or shot.skipped


def test_gaps_give_an_answer():
    clip = skating(Walk(frames=96), 1.3)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[30:50] = False
    shot = check_clip(replace(clip, valid=valid), SLIDE)
    assert all(np.isfinite(f.amount) for f in shot.findings)
