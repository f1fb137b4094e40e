# SPDX-License-Identifier: GPL-3.0-or-later
"""Strides and what is measured of them, against a walker whose gait is known to the last digit."""

from dataclasses import replace

import numpy as np
import pytest
from figures import arrays, figure
from swaying import BOB_M, SWAY_M, swaying
from walker import STANCE, Walk, hop, turned, walk

from analysis import Clip, Settings, check_clip, gait
from analysis.basis import build_basis
from analysis.gait import find_gait
from analysis.lap import find_lap
from analysis.loop import find_cycle
from analysis.stride import find_strides
from analysis.sway_trend import run_up_m, walk_side_m, walk_up_m

# From hip to ankle: the walker's bones.
LEG_M = 0.87
LOOPS = Settings(cycle="yes", checks=("sway",))
ONCE = Settings(cycle="no", checks=("sway",))


def measured(clip, settings=ONCE):
    return check_clip(clip, settings).measures


def gait_of(clip, settings=ONCE):
    basis = build_basis(clip, settings)
    return find_gait(basis, find_cycle(basis))


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("in_place", [False, True])
def test_a_walk_is_measured_as_it_was_made(fps, in_place):
    found = measured(walk(Walk(frames=round(6 * fps), fps=fps, in_place=in_place)))
    assert found["gait_speed_m_s"] == pytest.approx(1.2, rel=0.01)
    assert found["stride_s"] == pytest.approx(0.9, rel=0.01)
    assert found["stride_m"] == pytest.approx(1.08, rel=0.01)
    assert found["cadence_per_min"] == pytest.approx(120.0 / 0.9, rel=0.01)
    assert found["step_width_m"] == pytest.approx(0.2, abs=0.001)
    assert found["root_lateral_m"] == pytest.approx(2 * SWAY_M, rel=0.06)
    assert found["root_vertical_m"] == pytest.approx(2 * BOB_M, rel=0.05)
    # The walker's feet swing on a minimum-jerk curve: under .4 m/s, which counts as standing, for
    # a twentieth of a stride at either end.
    for side in ("left", "right"):
        assert STANCE <= found[f"foot_contact_{side}_share"] <= STANCE + 0.11
    assert 2 * STANCE - 1 <= found["double_support_share"] <= 2 * STANCE - 1 + 0.2
    assert found["froude"] == pytest.approx(1.2**2 / (9.80665 * LEG_M), rel=0.02)
    assert found["run_share"] == found["air_share"] == 0.0


def test_lengths_are_the_story_s_and_shares_do_not_change_with_size_and_heading():
    plan = Walk(frames=140)
    ways = measured(walk(plan))
    asked = Settings(cycle="no", checks=("sway",), height_m=1.78)
    large = measured(turned(swaying(plan, scale=10.0), 37.0), asked)
    for name, value in ways.items():
        if isinstance(value, float) and name in (
            "gait_speed_m_s",
            "stride_m",
            "step_width_m",
            "com_lateral_m",
            "root_vertical_m",
            "double_support_share",
            "cadence_per_min",
            "froude",
        ):
            assert large[name] == pytest.approx(value, rel=0.02), name


def test_a_loop_counts_the_stride_that_goes_over_its_seam():
    plan = Walk(frames=54, fps=60.0)  # one stride of .9 s
    found = measured(walk(plan), LOOPS)
    assert found["strides"] == 2.0  # from either foot
    assert found["stride_m"] == pytest.approx(1.08, rel=0.01)
    assert found["root_lateral_m"] == pytest.approx(2 * SWAY_M, rel=0.05)
    assert gait_of(walk(plan), LOOPS).steps == 2
    in_place = measured(walk(Walk(frames=54, fps=60.0, in_place=True)), LOOPS)
    for name in ("gait_speed_m_s", "stride_m", "root_lateral_m", "step_width_m"):
        assert in_place[name] == pytest.approx(found[name], rel=0.01), name


def test_each_stride_is_found_where_the_foot_lands():
    plan = Walk(frames=144)
    basis = build_basis(walk(plan), ONCE)
    strides = find_strides(basis, find_lap(basis, find_cycle(basis)))
    for side in "LR":
        lands = [first for first, _last in plan.plants(side)]
        found = [stride.first for stride in strides if stride.side == side]
        assert len(found) >= 4
        for first in found:
            assert min(abs(first - at) for at in lands) <= 1


def test_steps_are_counted_once():
    found = gait_of(walk(Walk(frames=144)))
    # 6 s of strides of .9 s: 13 landings of both feet, the first one at the range's beginning.
    assert len(found.strides) == 11
    assert found.steps == 12


def turning(clip, degrees_a_second):
    """The clip bent into a circle, as if it walked on a turning disc."""
    seconds = (clip.frames - clip.frames[0]) * clip.dt_s
    radius = 1.2 / np.radians(degrees_a_second)
    made = []
    for at, second in enumerate(seconds):
        place = clip.positions[at : at + 1] - [0.0, -1.2 * second, 0.0] + [radius, 0.0, 0.0]
        one = Clip(
            **{
                **vars(clip),
                "frames": np.array([0.0, 1.0]),
                "positions": np.repeat(place, 2, axis=0),
                "rotations": np.repeat(clip.rotations[at : at + 1], 2, axis=0),
            }
        )
        made.append(turned(one, -degrees_a_second * second))
    places = np.array([one.positions[0] for one in made])
    turns = np.array([one.rotations[0] for one in made])
    return Clip(**{**vars(clip), "positions": places, "rotations": turns})


def test_what_is_no_plain_gait_says_so():
    assert "it turns" in gait_of(turning(walk(Walk(frames=144)), 60.0)).why
    assert gait_of(turning(walk(Walk(frames=144)), 3.0)).why == ""
    assert (
        gait_of(hop()).why
        == gait_of(figure()).why
        == ("no foot lands, lifts and lands again while the other one steps")
    )


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        (lambda lap: {"facing": lap.facing[:, [1, 0, 2]]}, "sideways"),
        (lambda lap: {"facing": -lap.facing}, ""),  # backwards it walks as well
        (lambda lap: {"places": raised(lap, 0.16)}, "stairs"),
        (lambda lap: {"places": raised(lap, 0.03)}, ""),
        (lambda lap: {"borne": np.ones_like(lap.borne)}, "hands, knees or the seat"),
        (lambda lap: {"lead": lap.lead * [1.0, 1.0, 0.4]}, "low"),
        (lambda lap: {"known": np.zeros_like(lap.known)}, "no stride goes straight"),
    ],
    ids=["sideways", "backwards", "stairs", "slope", "hands", "low", "gaps"],
)
def test_strides_that_are_no_plain_gait_say_why(changes, why, monkeypatch):
    basis = build_basis(walk(Walk(frames=144)), ONCE)
    cycle = find_cycle(basis)
    lap = find_lap(basis, cycle)
    monkeypatch.setattr(gait, "find_lap", lambda *_args: replace(lap, **changes(lap)))
    found = find_gait(basis, cycle)
    assert why in found.why
    assert bool(found.why) == bool(why)


def raised(lap, metres):
    """Prints that rise by so much with every stride."""
    rise = metres * np.linspace(0.0, 144 / 24.0 / 0.9, len(lap.lead))
    return {side: place + np.outer(rise, [0, 0, 1]) for side, place in lap.places.items()}


def test_a_figure_without_feet_has_no_gait_and_no_flights():
    names = ("root", "chest", "head")
    clip = figure(frames=48)
    keep = [clip.joint(name) for name in names]
    bare = Clip(
        frames=clip.frames,
        fps=clip.fps,
        joints=names,
        parents=np.array([-1, 0, 1]),
        positions=clip.positions[:, keep],
        rotations=clip.rotations[:, keep],
    )
    found = check_clip(bare, ONCE)
    assert ("sway", "both feet are needed to tell strides") in found.skipped
    assert "strides" not in found.measures
    assert "flights" not in found.measures


def test_two_samples_and_one_joint_have_no_gait():
    assert gait_of(figure(frames=2)).why
    one = Clip(**arrays())
    assert check_clip(one, ONCE).findings == ()


def test_a_flight_is_measured_whole():
    found = measured(hop(air_s=0.5, fps=60.0, distance=0.5))
    assert found["flights"] == 1.0
    # Flights are told from 6 cm up: at 9.8 m/s2 the first and last 6 cm of a flight of .5 s take
    # .026 s each; the legs are drawn in by up to 10 cm, which takes off some of it.
    assert found["flight_median_s"] == found["flight_longest_s"]
    assert 0.5 - 2 * 0.026 - 2 / 60 <= found["flight_longest_s"] <= 0.5


def test_the_trend_is_the_published_one():
    """Orendurff et al. 2004, JRRD 41(6A):829-834, numbers from memory: centimetres at m/s."""
    assert walk_up_m(0.7) == pytest.approx(0.0274)
    assert walk_up_m(1.6) == pytest.approx(0.0483)
    assert walk_side_m(0.7) == pytest.approx(0.0699)
    assert walk_side_m(1.6) == pytest.approx(0.0385)
    assert walk_side_m(3.0) is walk_up_m(0.1) is None
    # A figure of half the size at the same Froude number sways half as far.
    assert walk_side_m(1.2 / np.sqrt(2.0), 0.85) == pytest.approx(0.5 * walk_side_m(1.2, 1.7))


def test_a_run_s_trend_is_a_free_fall():
    """Half of each step in the air, a parabola g (t/2)^2 / 8 high; as much on the foot."""
    for step in (0.3, 0.36):
        assert run_up_m(step) == pytest.approx(2 * 9.80665 * (0.5 * step) ** 2 / 8)
