# SPDX-License-Identifier: GPL-3.0-or-later
"""A push among what other checks see at its moment: who tells it, and what it tells."""

from dataclasses import replace

import made_up
import numpy as np
import pytest
from figures import steered
from toppling import toppled

from analysis import Settings
from analysis.basis import build_basis
from analysis.evidence import Evidence
from analysis.merge import merge


def basis():
    return build_basis(steered(frames=96), Settings(cycle="no"))


def event(check, body, first, last, **changes):
    """Worst in its middle, and told by a sentence."""
    own = {"peak": (first + last) // 2, "amount": 1.0, "limit": 0.5, "step_m": 0.01}
    own["says"] = "The {who} does something."
    return replace(made_up.event(None, check, body, first, last), **(own | changes))


def merged(around, *events):
    checks = {each.check for each in events}
    evidence = [
        Evidence(check, tuple(each for each in events if each.check == check)) for check in checks
    ]
    found = merge(around, evidence)
    return [(each.lead.check, sorted(m.check for m in each.members)) for each in found]


@pytest.mark.parametrize("check", ["pop", "hitch", "hard_stop", "hard_start", "loop_seam"])
@pytest.mark.parametrize("part", ["root", "chest"])
def test_what_moves_the_body_tells_the_push(check, part):
    around = basis()
    push = event("push", around.lead, 40, 43, visible_m=0.2)
    told = event(check, around.body(part), 41, 42)
    assert merged(around, push, told) == [(check, sorted(["push", check]))]


@pytest.mark.parametrize("check", ["gravity", "slide", "carry", "hang_time"])
def test_what_lasts_longer_tells_it_as_long_as_it_lasts(check):
    around = basis()
    long = event(check, around.lead, 20, 60, peak=25)
    found = merged(around, event("push", around.lead, 50, 53), long)
    assert [lead for lead, _members in found] == [check]
    apart = merged(around, event("push", around.lead, 70, 73), long)
    assert sorted(lead for lead, _members in apart) == sorted([check, "push"])


@pytest.mark.parametrize("part", ["head", "hand.L", "foot.R"])
def test_a_push_tells_what_it_throws(part):
    around = basis()
    push = event("push", around.lead, 40, 43)
    thrown = event("hard_start", around.body(part), 42, 42)
    later = event("hard_start", around.body(part), 60, 60)
    found = merged(around, push, thrown, later)
    assert ("push", ["hard_start", "push"]) in found
    assert ("hard_start", ["hard_start"]) in found


@pytest.mark.parametrize("check", ["gravity", "hard_start"])
@pytest.mark.parametrize("part", ["head", "hand.L"])
def test_what_tells_a_push_tells_what_it_throws(check, part):
    around = basis()
    push = event("push", around.lead, 40, 43)
    told = event(check, around.lead, 38, 43)
    thrown = event("pop", around.body(part), 44, 45)
    later = event("pop", around.body(part), 60, 61)
    found = merged(around, push, told, thrown, later)
    assert (check, sorted([check, "pop", "push"])) in found
    assert ("pop", ["pop"]) in found
    assert len(found) == 2


@pytest.mark.parametrize(("first", "last", "told"), [(46, 52, True), (48, 52, False)])
@pytest.mark.parametrize("check", ["hitch", "stuck_turn"])
def test_a_push_tells_what_lags_behind_it(check, first, last, told):
    """It begins within four samples of the push's last."""
    around = basis()
    push = event("push", around.lead, 40, 43)
    lags = event(check, around.body("head"), first, last, peak=last)
    found = merged(around, push, lags)
    assert found == [("push", sorted([check, "push"]))] if told else len(found) == 2


def test_a_flight_without_a_push_throws_nothing():
    around = basis()
    told, thrown = (
        event("gravity", around.lead, 38, 43),
        event("pop", around.body("hand.L"), 44, 45),
    )
    assert len(merged(around, told, thrown)) == 2


def test_what_holds_throughout_tells_no_push():
    around = basis()
    always = event("sway", around.lead, 0, 95, throughout=True)
    found = merged(around, event("push", around.lead, 50, 53), always)
    assert sorted(lead for lead, _members in found) == ["push", "sway"]


def test_a_camera_is_nobody_that_is_pushed():
    around = build_basis(toppled(np.zeros(40)), Settings(cycle="no"))
    camera = event("camera_jump", None, 20, 21, part="camera")
    found = merged(around, event("push", around.lead, 20, 22), camera)
    assert sorted(lead for lead, _members in found) == ["camera_jump", "push"]
