# SPDX-License-Identifier: GPL-3.0-or-later
"""A foot that slams down or sinks, and what other checks see of its leg, are one finding."""

from dataclasses import replace

import numpy as np
import pytest
from clamped import with_target
from figures import NAMES, figure
from made_up import event
from stepping import stepping

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.evidence import Evidence, Suggestion
from analysis.merge import merge

ONCE = Settings(cycle="no")
UP = np.array([0.0, 0.0, 1.0])


def told(clip):
    return [(each.check, each.part) for each in check_clip(clip, ONCE).findings]


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("side", ["L", "R"])
@pytest.mark.parametrize("metres", [0.06, 0.1])
def test_a_foot_that_is_held_high_and_put_down_in_two_frames_slams(fps, side, metres):
    clip = stepping(fps=fps, held=[(side, 2, metres, 2.0 / fps)], soft=True)
    assert told(clip) == [("stomp", f"foot.{side}")]


@pytest.mark.parametrize("metres", [0.02, 0.03, 0.05])
def test_a_foot_that_sinks_is_one_finding(metres):
    clip = stepping(sunk=[("R", 1, metres)], floor_z=0.0)
    assert told(clip) == [("sink", "foot.R")]


def merged(*asked, **more):
    """What leads, and how many members it has, for (check, part, first, last) events."""
    basis = build_basis(figure(frames=60), ONCE)
    found = [Evidence(each[0], (event(basis, *each, **more),)) for each in asked]
    groups = merge(basis, found)
    assert sum(len(each.members) for each in groups) == len(asked)
    return sorted(each.lead.check for each in groups)


@pytest.mark.parametrize(
    ("other", "expected"),
    [
        (("pop", "foot.L", 30, 31), ["stomp"]),  # the first frames that are right again
        (("pop", "shin.L", 31, 32), ["stomp"]),
        (("pop", "thigh.L", 29, 31), ["stomp"]),
        (("hard_stop", "foot.L", 30, 30), ["stomp"]),
        (("pop", "foot.L", 29, 29), ["pop"]),  # a stray key makes it slam
        (("hitch", "shin.L", 25, 30), ["hitch"]),  # it sticks, and so it comes late
        (("pop", "foot.R", 30, 31), ["pop", "stomp"]),
        (("pop", "foot.L", 33, 33), ["pop", "stomp"]),
        (("pop", "hand.L", 30, 31), ["pop", "stomp"]),
    ],
)
def test_which_tells_a_foot_that_slams(other, expected):
    assert merged(("stomp", "foot.L", 28, 30), other) == expected
    assert merged(other, ("stomp", "foot.L", 28, 30)) == expected


@pytest.mark.parametrize(
    ("other", "expected"),
    [
        (("pop", "shin.L", 18, 19), ["sink"]),
        (("pop", "foot.L", 31, 32), ["sink"]),
        (("stuck_turn", "thigh.L", 20, 45), ["sink"]),
        (("hitch", "shin.L", 27, 30), ["sink"]),
        (("hitch", "foot.L", 27, 30), ["hitch"]),  # it sticks, and so it comes up late
        (("locked_knee", "shin.L", 24, 28), ["sink"]),
        (("knee_pop", "shin.L", 13, 13), ["sink"]),  # on its way down
        (("knee_pop", "shin.L", 8, 9), ["knee_pop", "sink"]),
        (("pop", "foot.L", 25, 25), ["pop", "sink"]),  # in the middle of it
        (("pop", "shin.R", 18, 19), ["pop", "sink"]),
        (("stuck_turn", "thigh.L", 5, 45), ["sink", "stuck_turn"]),
        (("stomp", "foot.L", 18, 20), ["sink"]),  # it lands deeper
        (("stomp", "foot.L", 14, 17), ["sink"]),
        (("stomp", "foot.L", 36, 40), ["sink", "stomp"]),  # it lands again
        (("stomp", "foot.R", 18, 20), ["sink", "stomp"]),
    ],
)
def test_which_tells_a_foot_that_sinks(other, expected):
    assert merged(("sink", "foot.L", 20, 30), other) == expected


@pytest.mark.parametrize(
    ("sink", "slide", "expected"),
    [
        ((20, 40), (28, 32), ["sink", "slide"]),  # it slips while it stands too deep
        ((20, 40), (20, 24), ["sink", "slide"]),
        ((28, 32), (20, 40), ["sink", "slide"]),  # it drags on while it is down for a moment
        ((20, 30), (20, 28), ["slide"]),  # one move, aside and down
        ((24, 30), (20, 30), ["slide"]),
    ],
)
def test_a_sink_and_a_slip_are_two_where_one_goes_by_itself(sink, slide, expected):
    events = ("slide", "foot.L", *slide), ("sink", "foot.L", *sink)
    assert merged(*events) == expected


def test_a_stray_key_that_takes_a_foot_under_the_floor_is_a_pop():
    assert merged(("sink", "foot.L", 20, 21), ("pop", "foot.L", 20, 21)) == ["pop"]


@pytest.mark.parametrize("away", [(0.0, 0.0, -0.02), (0.02, 0.0, 0.0)])
def test_the_control_of_a_sunk_foot_may_lie_deeper_than_the_leg_reaches(away):
    """Its advice raises the control from there; a foot that is pulled aside is pulled aside."""
    clip = stepping(sunk=[("R", 1, 0.03)], floor_z=0.0)
    goal = np.array(clip.positions[:, NAMES.index("foot.R")])
    goal[70:88] += away
    basis = build_basis(with_target(clip, "foot.R", goal), ONCE)
    advice = Suggestion("Raise it.", frame=70.0, offset=0.03 * UP)
    sink = event(basis, "sink", "foot.R", 67, 85, suggestion=advice, says="It sinks.")
    gap = event(basis, "overreach", "foot.R", 70, 88, peak=76, visible_m=0.02)
    (found,) = merge(basis, [Evidence("overreach", (gap,)), Evidence("sink", (sink,))])
    if not away[2]:
        assert found.lead is gap
        return
    assert (found.lead.check, found.lead.first, found.lead.last) == ("sink", 67, 88)
    assert found.lead.says == "It sinks. Its control lies too deep from frame 68 to 89."
    assert found.lead.suggestion.offset == pytest.approx(0.05 * UP, abs=1e-3)
    assert found.lead.suggestion.text == (
        "Raise the foot's control by 5.0 cm from frame 68 to 89: it lies deeper than the leg "
        "reaches."
    )


def test_both_feet_that_sink_tell_what_either_leg_does():
    basis = build_basis(figure(frames=60), ONCE)
    both = replace(event(basis, "sink", "foot.L", 20, 30), body=basis.lead)
    legs = [event(basis, "locked_knee", f"shin.{side}", 22, 26) for side in "LR"]
    found = merge(basis, [Evidence("locked_knee", tuple(legs)), Evidence("sink", (both,))])
    assert [each.lead.check for each in found] == ["sink"]


@pytest.mark.parametrize(
    ("which", "stuck", "throughout", "expected"),
    [
        (0, "foot.L", False, ["slide"]),
        (1, "foot.L", False, ["slide", "stuck_turn"]),  # in another plant
        (1, "foot.L", True, ["slide"]),
        (1, "foot.R", True, ["slide"]),
        (0, "foot.R", False, ["slide", "stuck_turn"]),
        (0, "shin.L", True, ["slide", "stuck_turn"]),
    ],
)
def test_a_foot_that_slips_keeps_its_orientation_as_it_stands(which, stuck, throughout, expected):
    """The slip is in the first whole plant of the left foot, the stuck turn in one of its own."""
    basis = build_basis(stepping(), ONCE)
    plants = {s: [p for p in basis.plants if p.side == s and p.first > 0] for s in "LR"}
    slips, stands = plants["L"][0], plants[stuck[-1]][which]
    slide = event(basis, "slide", "foot.L", slips.first + 1, slips.last - 1, throughout=throughout)
    turn = event(basis, "stuck_turn", stuck, stands.first, stands.last + 2, peak=stands.last)
    found = merge(basis, [Evidence("slide", (slide,)), Evidence("stuck_turn", (turn,))])
    assert sorted(each.lead.check for each in found) == expected


def test_a_foot_that_sticks_in_the_air_is_no_slip():
    basis = build_basis(stepping(), ONCE)
    plant = next(p for p in basis.plants if p.side == "L" and p.first > 12)
    slide = event(basis, "slide", "foot.L", plant.first, plant.last, throughout=True)
    turn = event(basis, "stuck_turn", "foot.L", plant.first - 9, plant.first - 2)
    found = merge(basis, [Evidence("slide", (slide,)), Evidence("stuck_turn", (turn,))])
    assert sorted(each.lead.check for each in found) == ["slide", "stuck_turn"]


@pytest.mark.parametrize(
    ("visible", "throughout", "expected"),
    [
        (0.05, False, ["slide"]),
        (0.02, False, ["hitch"]),  # it catches up more than it slips
        (0.05, True, ["hitch", "slide"]),
    ],
)
def test_a_foot_that_stands_and_slips_does_not_stick_and_catch_up(visible, throughout, expected):
    """It stands dead on two frames of a plant, as it should, and goes 3 cm in the next one."""
    basis = build_basis(stepping(), ONCE)
    at = next(p for p in basis.plants if p.side == "L" and p.first > 0).first + 3
    stuck = event(basis, "hitch", "foot.L", at, at + 1)
    slip = {"visible_m": visible, "throughout": throughout}
    slide = event(basis, "slide", "foot.L", at + 2, at + 4, **slip)
    found = merge(basis, [Evidence("hitch", (stuck,)), Evidence("slide", (slide,))])
    assert sorted(each.lead.check for each in found) == expected


def test_a_foot_that_sticks_before_it_lands_is_no_slip():
    basis = build_basis(stepping(), ONCE)
    plant = next(p for p in basis.plants if p.side == "L" and p.first > 12)
    stuck = event(basis, "hitch", "foot.L", plant.first - 4, plant.first - 2)
    slide = event(basis, "slide", "foot.L", plant.first - 1, plant.first + 3, visible_m=0.05)
    found = merge(basis, [Evidence("hitch", (stuck,)), Evidence("slide", (slide,))])
    assert sorted(each.lead.check for each in found) == ["hitch", "slide"]


@pytest.mark.parametrize(("throughout", "expected"), [(False, 1), (True, 2)])
def test_what_holds_for_all_of_a_shot_hides_nothing_of_a_moment(throughout, expected):
    """The body drifts over its feet all along, and comes to rest with all its parts."""
    basis = build_basis(figure(frames=60), ONCE)
    drift = event(basis, "slide", "root", 5, 50, throughout=throughout)
    stop = event(basis, "stop_together", "root", 40, 42)
    found = merge(basis, [Evidence("slide", (drift,)), Evidence("stop_together", (stop,))])
    assert len(found) == expected
