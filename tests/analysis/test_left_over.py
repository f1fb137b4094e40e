# SPDX-License-Identifier: GPL-3.0-or-later
"""What is so great that nobody does it to himself, what landings leave, and what hides the rest."""

import numpy as np
import pytest
from figures import steered
from left_over import bump, left_over
from walker import hop

from analysis import Settings
from analysis.basis import build_basis
from analysis.checks.push_words import why_untold
from analysis.flight_ends import USUAL, flight_ends
from analysis.great_shoves import GREAT, find_great
from analysis.why_left import (
    BRIEF,
    ELSEWHERE,
    FLIGHT,
    LASTS,
    PRESSES,
    RISES,
    STOPPED,
    why_left,
)

COUNT, AT = 96, 48
NOWHERE = np.zeros(COUNT, dtype=bool)


@pytest.fixture(scope="module")
def stands():
    return build_basis(steered(frames=COUNT), Settings(cycle="no"))


@pytest.mark.parametrize("after", [3, 5, 8])
def test_what_is_great_is_a_shove_whatever_stops_it(stands, after):
    """Told by what sets the body going, even where what stops it is stronger."""
    left = bump(1.1 * GREAT, AT, COUNT) - bump(1.4 * GREAT, AT + after, COUNT)
    (shove,) = find_great(stands, left_over(left), NOWHERE)
    assert shove.force[0] > 0.0
    assert abs(shove.peak - AT) <= 1
    assert shove.size > shove.limit


def test_what_is_less_may_be_its_own(stands):
    left = bump(0.9 * GREAT, AT, COUNT) - bump(0.9 * GREAT, AT + 5, COUNT)
    assert not find_great(stands, left_over(left), NOWHERE)


def test_inside_a_declared_event_nothing_is_great(stands):
    outside = NOWHERE.copy()
    outside[AT - 4 : AT + 10] = True
    assert not find_great(stands, left_over(bump(5.0, AT, COUNT)), outside)


def test_where_feet_push_off_and_land():
    """Of a hop from sample 13 to 25: a third of a second before it, and after it."""
    basis = build_basis(hop(), Settings(cycle="no"))
    (flight,) = basis.flights
    ends = flight_ends(basis)
    assert ends.leaves[flight.first - 1]
    assert ends.lands[flight.last + 1]
    assert not ends.near[flight.first : flight.last + 1].any()
    assert ends.leaves.sum() == pytest.approx(0.35 * 24.0, abs=1.0)
    assert set(ends.flight[ends.near]) == {0}


def reason_of(basis, left, at=AT, *, pressed=1.0, usual=None):
    forces = left_over(left, pressed=pressed)
    usual = np.zeros(len(left)) if usual is None else usual
    return why_left(basis, forces, forces.size, usual, at)


@pytest.mark.parametrize(("after", "when"), [(5, "follow"), (-6, "come before it")])
def test_what_is_left_against_it_is_told(stands, after, when):
    left = bump(0.5, AT, COUNT) - bump(0.4, AT + after, COUNT)
    reasons = reason_of(stands, left)
    assert [each.why for each in reasons] == [STOPPED]
    assert reasons[0].left == pytest.approx(0.4)
    told = why_untold(stands, AT, 0.5, reasons)
    assert f"0.4 the other way {when} at frame {AT + after + 1}" in told


def test_what_lasts_is_told(stands):
    left = np.zeros(COUNT)
    left[AT - 8 : AT + 9] = 0.5
    assert reason_of(stands, left)[0].why == LASTS


def test_what_is_left_elsewhere_is_told_with_its_frame(stands):
    left = bump(0.5, AT, COUNT) + bump(0.7, AT + 30, COUNT)
    reasons = reason_of(stands, left)
    assert [(each.why, each.at) for each in reasons] == [(ELSEWHERE, AT + 30)]
    assert f"frame {AT + 31} has 0.7" in why_untold(stands, AT, 0.5, reasons)
    usual = np.full(COUNT, USUAL)
    assert reason_of(stands, left, usual=usual)[0].why == FLIGHT


def test_two_that_hide_it_together_are_both_told(stands):
    """A body that is a bit stopped, and does it a bit elsewhere."""
    left = bump(0.6, AT, COUNT) - bump(0.3, AT + 5, COUNT) + bump(0.28, AT + 30, COUNT)
    assert [each.why for each in reason_of(stands, left)] == [STOPPED, ELSEWHERE]


def test_what_is_there_by_itself_has_its_reason_too(stands):
    brief = np.zeros(COUNT)
    brief[AT] = 0.5
    assert reason_of(stands, brief)[0].why == BRIEF
    alone = bump(0.5, AT, COUNT)
    assert reason_of(stands, alone, pressed=2.5)[0].why == PRESSES
    velocity = stands.com_velocity[:, 2]
    rises = 12 + int(np.argmax(velocity[12:-12]))
    assert reason_of(stands, bump(0.5, rises, COUNT), rises, pressed=0.0)[0].why == RISES
