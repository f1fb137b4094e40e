# SPDX-License-Identifier: GPL-3.0-or-later
"""Targets: where findings' suggestions put their points."""

from dataclasses import replace

import numpy as np
import pytest
from drawn_flights import Thrown
from figures import arrays, figure, spike
from filmed import filmed
from walker import Walk, walk

from analysis import Clip, Settings
from analysis.drawn import targets
from analysis.evidence import Suggestion
from analysis.pipeline import examine
from analysis.trails import TIP, Spot, path_of


def test_a_pop_is_to_be_where_it_was_before_it_was_planted():
    shift = np.outer(spike(48, 20, 0.05), [0.0, 0.0, 1.0])
    found = examine(figure(shift=shift), Settings(checks=("pop",)))
    (target,) = targets(found)
    assert (target.finding, target.spot, target.frame) == (0, Spot("root"), 21)
    clean = figure()
    assert target.actual == pytest.approx(found.basis.positions[20, found.basis.lead])
    assert target.position == pytest.approx(clean.positions[20, clean.joint("root")], abs=0.003)


def test_a_turn_that_pops_moves_the_tip_that_shows_it():
    found = examine(figure(turns={"head": spike(48, 20, 0.6)}), Settings(checks=("pop",)))
    number = next(n for n, f in enumerate(found.shot.findings) if f.part == "head")
    target = next(each for each in targets(found) if each.finding == number)
    assert target.spot == Spot("head", TIP)
    assert target.actual == pytest.approx(path_of(found.basis, target.spot)[20])
    clean = examine(figure(), Settings(checks=("pop",))).basis
    assert target.position == pytest.approx(path_of(clean, target.spot)[20], abs=0.01)


def test_a_foot_that_slips_is_to_be_where_it_stood():
    plan = Walk(frames=60)
    first, last = plan.plants("L")[0]
    found = examine(
        walk(plan, slips=[("L", first, last, (0.0, 0.05))]),
        Settings(cycle="no", checks=("slide",)),
    )
    (target,) = targets(found)
    assert target.spot == Spot("foot.L")
    at = int(target.frame) - 1
    assert target.actual == pytest.approx(found.basis.positions[at, found.basis.body("foot.L")])
    assert target.position - target.actual == pytest.approx([0.0, -0.05, 0.0], abs=0.003)


def test_a_flight_that_goes_too_far_is_to_land_where_it_is_carried():
    """Only a way is told: from where the point that shows it is on that frame."""
    thrown = Thrown(air=1.8)
    found = examine(thrown.clip(), Settings(cycle="no", checks=("carry",)))
    (target,) = targets(found)
    assert target.actual == pytest.approx(path_of(found.basis, target.spot)[int(target.frame) - 1])
    short = 0.8 * thrown.seconds
    assert target.position - target.actual == pytest.approx([0.0, short, 0.0], abs=0.02)


def test_what_is_seen_on_the_picture_has_its_place_in_the_world():
    """A finding in camera space names a place of the world all the same."""
    shift = np.outer(spike(48, 20, 0.05), [0.0, 0.0, 1.0])
    clip = filmed(figure(shift=shift))
    found = examine(clip, Settings(checks=("pop",), space="camera"))
    target = next(each for each in targets(found) if each.spot == Spot("root"))
    assert target.actual == pytest.approx(found.basis.positions[20, found.basis.lead], abs=1e-6)
    clean = figure()
    assert target.position == pytest.approx(clean.positions[20, clean.joint("root")], abs=0.01)


def advised(**advice):
    """The places for one finding of a clean figure, with that advice."""
    shift = np.outer(spike(48, 20, 0.05), [0.0, 0.0, 1.0])
    found = examine(figure(shift=shift), Settings(checks=("pop",)))
    (finding,) = found.shot.findings
    told = replace(finding, suggestion=Suggestion("Do.", **advice))
    return found, targets(replace(found, shot=replace(found.shot, findings=(told,))))


def test_advice_without_a_place_or_beyond_the_range_has_none():
    assert advised()[1] == ()
    assert advised(frame=90.0, offset=np.ones(3))[1] == ()
    assert targets(examine(Clip(**arrays()))) == ()


def test_the_frame_after_a_loop_is_compared_with_where_the_path_leads():
    found, (target,) = advised(frame=49.0, position=np.zeros(3))
    path = found.basis.positions[:, found.basis.lead]
    assert target.actual == pytest.approx(2.0 * path[-1] - path[-2])
    assert target.position == pytest.approx(np.zeros(3))


def test_a_point_in_a_gap_has_none():
    shift = np.outer(spike(48, 20, 0.05), [0.0, 0.0, 1.0])
    clip = figure(shift=shift)
    found = examine(clip, Settings(checks=("pop",)))
    valid = found.basis.valid.copy()
    valid[20, found.basis.lead] = False
    assert targets(replace(found, basis=replace(found.basis, valid=valid))) == ()
