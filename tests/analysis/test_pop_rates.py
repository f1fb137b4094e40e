# SPDX-License-Identifier: GPL-3.0-or-later
"""`pop` where frames are far apart, and where both feet leave the floor for a leap."""

import numpy as np
import pytest
from figures import NAMES, figure
from walker import Walk, hop, walk

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.pop_limits import LEAP, STRIKE, strikes

POP = Settings(checks=("pop",), cycle="no")
CALM = {"speed": 0.0, "period_s": 1e6}


def punch(fps, radians, part="upper_arm.R"):
    """An arm (or the whole figure) that is elsewhere from one frame to the next, and stays."""
    turn = np.where(np.arange(48) >= 24, radians, 0.0)
    return figure(fps=fps, turns={part: turn}, **CALM)


@pytest.mark.parametrize(("fps", "found"), [(12.0, 0), (24.0, 1)])
def test_a_frame_at_12_a_second_holds_a_punch(fps, found):
    """The hand goes 34 cm: in .083 s as a punch does; in .042 s it has jumped."""
    clip = punch(fps, 0.6)
    hand = NAMES.index("hand.R")
    assert np.linalg.norm(clip.positions[24, hand] - clip.positions[23, hand]) < 0.35
    assert len(check_clip(clip, POP).findings) == found


def test_what_no_arm_does_in_a_frame_is_a_step_at_12_as_well():
    assert len(check_clip(punch(12.0, 1.6), POP).findings) == 1


def test_a_trunk_that_is_elsewhere_is_a_step_at_12_as_well():
    shift = np.outer(np.where(np.arange(48) >= 24, 0.2, 0.0), [0, -1, 0])
    (found,) = check_clip(figure(fps=12.0, shift=shift, **CALM), POP).findings
    assert found.part == "root"


@pytest.mark.parametrize(("fps", "found"), [(12.0, 0), (24.0, 1)])
def test_what_lasts_a_quarter_of_a_second_is_a_move(fps, found):
    """An arm out for three frames."""
    turn = np.zeros(48)
    turn[23:26] = 0.6
    clip = figure(fps=fps, turns={"upper_arm.R": turn}, **CALM)
    assert len(check_clip(clip, POP).findings) == found


def test_both_feet_that_leave_for_a_leap_are_thrown():
    basis = build_basis(hop(), POP)
    (flight,) = basis.flights
    factors = strikes(basis, basis.leg_lenience)
    for side in ("L", "R"):
        foot = factors[:, basis.body(f"foot.{side}")]
        assert foot[flight.first - 1] == LEAP
        assert LEAP not in foot[flight.last - 1 :]
        assert STRIKE in foot[flight.last - 1 :]
    assert set(factors[:, basis.body("hand.L")]) == {1.0}


def test_feet_of_a_walk_leave_one_by_one():
    basis = build_basis(walk(Walk()), POP)
    factors = strikes(basis, basis.leg_lenience)
    assert set(np.unique(factors)) == {1.0, STRIKE}
