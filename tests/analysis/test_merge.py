# SPDX-License-Identifier: GPL-3.0-or-later
"""One event, one finding: carried parts, IK limbs that give way, steered ends."""

import numpy as np
import pytest
from figures import figure, names, spike, steered
from made_up import evidence

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.merge import merge
from tests.quality.moves import target
from tests.quality.timing import held, sampled

ONCE = Settings(cycle="no")


def test_a_swaying_figure_on_planted_feet_is_clean():
    assert names(check_clip(steered(), ONCE)) == []


@pytest.mark.parametrize("way", [(0, 0, -1), (0, 1, 0), (1, 0, 0)])
def test_legs_that_give_way_to_the_root_are_not_blamed(way):
    shift = np.outer(spike(48, 20, 0.03), way)
    shot = check_clip(steered(root_shift=shift), ONCE)
    assert names(shot) == [("pop", "root")]


def test_a_steered_foot_that_pops_is_blamed_itself():
    shift = np.outer(spike(48, 20, 0.06), (0, -1, 0))
    shot = check_clip(steered(foot_shift=shift), ONCE)
    assert names(shot) == [("pop", "foot.L")]
    assert ("pop", "shin.L") in shot.findings[0].also


def test_several_joints_of_an_arm_are_one_event_of_the_uppermost():
    turns = {"upper_arm.L": spike(48, 20, 0.3), "forearm.L": spike(48, 20, 0.3)}
    assert names(check_clip(figure(turns=turns), ONCE)) == [("pop", "upper_arm.L")]


def test_the_same_joints_at_two_moments_are_two_events():
    turns = {"upper_arm.L": spike(48, 12, 0.3), "forearm.L": spike(48, 30, 0.4)}
    shot = check_clip(figure(turns=turns), ONCE)
    assert names(shot) == [("pop", "upper_arm.L"), ("pop", "forearm.L")]


def test_a_small_turn_low_down_that_throws_the_head_is_named_at_its_root():
    # The chest turns 2 degrees, too little to be seen there, and throws the hands.
    shot = check_clip(figure(turns={"chest": spike(48, 20, 0.05)}), ONCE)
    assert [part for _check, part in names(shot)] == ["chest"]
    finding = shot.findings[0]
    assert "carried by the chest" in finding.says or finding.says.startswith("The chest")


def test_a_seam_and_a_pop_beside_it_are_told_once():
    turns = {"head": 0.35 * np.clip((np.arange(48) - 41) / 6.0, 0, 1) ** 2}
    shot = check_clip(figure(turns=turns), Settings(cycle="yes"))
    assert names(shot) == [("loop_seam", "head")]


def test_an_arm_does_not_hang_on_the_neck():
    turns = {"neck": spike(48, 20, 0.25), "upper_arm.L": spike(48, 20, 0.3)}
    shot = check_clip(figure(turns=turns), ONCE)
    assert names(shot) == [("pop", "neck"), ("pop", "upper_arm.L")]


def test_head_and_hand_at_one_moment_are_two_events():
    turns = {"head": spike(48, 20, 0.3), "hand.L": spike(48, 20, 0.6)}
    shot = check_clip(figure(turns=turns), ONCE)
    assert names(shot) == [("pop", "head"), ("pop", "hand.L")]


def test_the_advice_names_what_carries_the_point():
    shot = check_clip(figure(turns={"chest": spike(48, 20, 0.08)}), ONCE)
    (found,) = shot.findings
    assert found.part == "chest"
    assert "carried by the chest" in found.says
    assert found.suggestion.text.startswith("Bring the chest, and with it the ")


def sticking(part, at=26, count=3, **how):
    """A figure that strides; from a sample on a part, or all of it, stands for some samples."""
    roles = {name: (name,) for name in figure().joints}
    clip = figure(frames=60, roles=roles, **how)
    when = np.arange(60.0)
    when[at + 1 : at + count + 1] = at
    return sampled(clip, when) if part is None else held(clip, target(clip, part), when, "parent")


@pytest.mark.parametrize("count", [2, 3])
def test_an_arm_that_sticks_is_no_pop_as_well(count):
    """What is held leaves its path as a pop does, and catches up in a jump."""
    (found,) = check_clip(sticking("hand.L", count=count), ONCE).findings
    assert (found.check, found.part) == ("hitch", "hand.L")
    assert ("pop", "hand.L") in found.also


@pytest.mark.parametrize("count", [2, 3, 4])
def test_a_body_that_sticks_is_no_pop_of_what_it_carries(count):
    (found,) = check_clip(sticking(None, at=29, count=count), ONCE).findings
    assert (found.check, found.part) == ("hitch", "root")
    assert {"hand.L", "hand.R"} <= {part for check, part in found.also if check == "pop"}


def test_a_pop_of_another_part_while_an_arm_sticks_is_its_own():
    shot = check_clip(sticking("hand.L", turns={"head": spike(60, 28, 0.3)}), ONCE)
    assert names(shot) == [("pop", "head"), ("hitch", "hand.L")]


@pytest.mark.parametrize(
    ("frames", "events"),
    [
        ((26, 28), [("hang_time", 20, 29)]),  # the flight's own shape
        ((30, 30), [("hang_time", 20, 29)]),  # where it lands
        ((36, 36), [("hang_time", 20, 29), ("pop", 36, 36)]),
        ((12, 14), [("hang_time", 20, 29), ("pop", 12, 14)]),
    ],
)
def test_what_a_flight_s_shape_does_to_the_path_is_told_by_the_flight(frames, events):
    basis = build_basis(figure(), ONCE)
    pop = evidence(basis, "pop", basis.lead, *frames)
    flight = evidence(basis, "hang_time", basis.lead, 20, 29)
    merged = merge(basis, [pop, flight])
    assert sorted((m.lead.check, m.lead.first, m.lead.last) for m in merged) == events
    assert sum(len(m.members) for m in merged) == 2


def test_a_stray_key_in_a_flight_is_told():
    basis = build_basis(figure(), ONCE)
    pop = evidence(basis, "pop", basis.lead, 25, 25)
    flight = evidence(basis, "hang_time", basis.lead, 20, 29)
    (one,) = merge(basis, [flight, pop])
    assert (one.lead.check, len(one.members)) == ("pop", 2)
