# SPDX-License-Identifier: GPL-3.0-or-later
"""Flights that several checks see, and steps that take the legs too far: who tells them."""

import itertools

import pytest
from test_merge_push import basis, event, merged

FLIGHTS = ("hang_time", "gravity", "carry")


@pytest.mark.parametrize("checks", list(itertools.permutations(FLIGHTS)))
def test_of_one_flight_the_check_leads_whose_cure_may_clear_all(checks):
    """Whatever is heard first, and however much larger another one looks."""
    around = basis()
    seen = [
        event(check, around.lead, 20, 30, peak=25 + 5 * (check == "carry"), visible_m=visible)
        for check, visible in zip(checks, (0.5, 0.1, 0.02), strict=True)
    ]
    assert merged(around, *seen) == [("hang_time", sorted(FLIGHTS))]
    two = [each for each in seen if each.check != "hang_time"]
    assert merged(around, *two) == [("gravity", ["carry", "gravity"])]


@pytest.mark.parametrize("check", ["gravity", "carry"])
def test_two_flights_stay_two(check):
    around = basis()
    hang, other = event("hang_time", around.lead, 20, 30), event(check, around.lead, 60, 70)
    found = merged(around, hang, other)
    assert sorted(lead for lead, _members in found) == sorted(["hang_time", check])


@pytest.mark.parametrize("check", ["overreach", "locked_knee"])
@pytest.mark.parametrize("part", ["shin.L", "foot.R"])
def test_a_step_that_floats_tells_the_leg_that_does_not_reach_in_it(check, part):
    around = basis()
    step = event("carry", around.lead, 40, 52, visible_m=0.1)
    leg = event(check, around.body(part), 45, 50, visible_m=0.05)
    assert merged(around, step, leg) == [("carry", sorted(["carry", check]))]
    before = event(check, around.body(part), 20, 26, visible_m=0.05)
    assert len(merged(around, step, before)) == 2
    hand = event(check, around.body("hand.L"), 45, 50, visible_m=0.05)
    assert len(merged(around, step, hand)) == 2
