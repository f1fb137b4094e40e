# SPDX-License-Identifier: GPL-3.0-or-later
"""Which findings keys make, and that a foot that slips is mended where it stands."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from figures import figure, spike, steered

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.causes.asking import plan_trials
from analysis.causes.places import place_of, reached, still_stands
from analysis.causes.rank import find_causes, weigh, weighing
from analysis.evidence import Suggestion
from analysis.pipeline import examine

FRAMES = 48
SLIPS = np.clip((np.arange(FRAMES) - 15) / 15.0, 0.0, 1.0) * 0.06


def basis_of(way, up):
    """The left foot goes along X, and off the floor, by these (T,) metres."""
    clip = steered(frames=FRAMES, foot_shift=np.stack((way, 0 * way, up), axis=-1))
    return clip, build_basis(clip, Settings(cycle="no"))


@pytest.fixture
def place():
    clip, basis = basis_of(SLIPS, 0 * SLIPS)
    shot = check_clip(clip, Settings(cycle="no", checks=("slide",)))
    (finding,) = shot.findings
    assert (finding.check, finding.part) == ("slide", "foot.L")
    return place_of(basis, finding)


@pytest.mark.parametrize(("up", "stands"), [(0.0, 1.0), (0.003, 1.0), (0.02, 0.0), (-0.02, 0.0)])
def test_a_foot_that_hovers_or_sinks_does_not_stand(place, up, stands):
    before = basis_of(SLIPS, 0 * SLIPS)[1]
    bump = up * np.exp(-(((np.arange(FRAMES) - 22) / 3.0) ** 2))
    assert still_stands(before, basis_of(0 * SLIPS, bump)[1], place) == stands


def test_a_foot_that_tips_onto_its_toes_does_not_stand(place):
    before, after = (basis_of(way, 0 * SLIPS)[1] for way in (SLIPS, 0 * SLIPS))
    tipped = [replace(each, clearance=each.clearance.copy()) for each in after.soles]
    (sole,) = [each for each in tipped if each.sole.body == place.body]
    sole.clearance[place.first :, sole.clearance[place.first].argmax()] += 0.015
    assert still_stands(before, after, place) == 1.0
    assert still_stands(before, SimpleNamespace(soles=tipped), place) == 0.0


@pytest.mark.parametrize(("up_cm", "share"), [(0.0, 0.0), (1.0, 0.25), (4.0, 1.0), (8.0, 1.0)])
def test_what_is_asked_for_is_reached_by_so_much(place, up_cm, share):
    finding = replace(
        place.finding, suggestion=Suggestion("Up.", frame=20.0, offset=np.array([0.0, 0.0, 0.04]))
    )
    before, after = (basis_of(0 * SLIPS, 0 * SLIPS + up)[1] for up in (0.0, up_cm / 100.0))
    asked = replace(place, finding=finding)
    assert reached(before, after, asked) == pytest.approx(share, abs=1e-6)
    assert reached(before, before, replace(place, finding=None)) == 1.0


def test_no_key_is_blamed_for_the_range_that_plays():
    shift = np.outer(spike(49, 20, 0.03), [0, 0, 1])
    examination = examine(figure(frames=49, shift=shift), Settings(cycle="yes"))
    shot = find_causes(examination, plan_trials(examination), ())
    causes = {finding.check: finding.causes for finding in shot.findings}
    assert causes["double_frame"] == ()
    assert causes["pop"]


def test_joints_are_judged_one_at_a_step():
    shift = np.outer(spike(48, 20, 0.03), [0, 0, 1])
    examination = examine(figure(shift=shift), Settings(cycle="no"))
    plan = plan_trials(examination)
    *steps, shot = weighing(examination, plan, ())
    assert shot.to_json() == weigh(examination, plan, ()).to_json()
    (cause, *_rest) = shot.findings[0].causes
    assert cause.title == "root, location, frame 21"
    assert steps == [0, 0]  # the root's turn, and its path
