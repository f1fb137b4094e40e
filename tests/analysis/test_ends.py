# SPDX-License-Identifier: GPL-3.0-or-later
"""The ends of a range: judged where the next round is known, and told where they are not."""

import numpy as np
import pytest
from figures import figure, names, spike

from analysis import Settings, check_clip

ONCE, LOOP = Settings(cycle="no"), Settings(cycle="yes")
UP = [0.0, 0.0, 1.0]


@pytest.mark.parametrize("at", [0, 1, 2, 3, 24, 44, 45, 46, 47])
def test_a_loop_is_judged_to_its_ends(at):
    shot = check_clip(figure(shift=np.outer(spike(48, at, 0.05), UP)), LOOP)
    assert names(shot) == [("pop", "root")]
    (found,) = shot.findings
    assert found.peak_frame == at + 1
    assert found.amount == pytest.approx(5.0, abs=0.5)
    assert found.says.endswith(f"comes back at {1 if at == 47 else at + 2}.")


@pytest.mark.parametrize("joint", ["head", "upper_arm.L"])
@pytest.mark.parametrize("at", [0, 47])
def test_a_limb_that_pops_beside_the_seam_is_no_seam(joint, at):
    shot = check_clip(figure(turns={joint: spike(48, at, 0.3)}), LOOP)
    assert names(shot) == [("pop", joint)]
    assert ("loop_seam", joint) in shot.findings[0].also


@pytest.mark.parametrize("at", [3, 44])
def test_a_shot_is_judged_from_its_fourth_frame(at):
    shot = check_clip(figure(shift=np.outer(spike(48, at, 0.08), UP)), ONCE)
    assert names(shot) == [("pop", "root")]


def test_what_was_judged_is_said():
    assert "No point leaves its path from frame 4 to 45." in check_clip(figure(), ONCE).good
    assert "No point leaves its path from frame 1 to 48." in check_clip(figure(), LOOP).good


def test_repeats_at_the_end_of_a_loop_are_not_judged():
    shot = check_clip(figure(frames=27), LOOP)
    assert names(shot) == [("double_frame", None)]


def walking_in_place(start):
    """A cycle on a planted foot: the left foot lands flat, without bend, at sample `start`."""
    phase = (np.arange(24) - start) % 24
    swing = np.where(phase < 12, 0.0, np.sin(np.pi * (phase - 12) / 12.0))
    return figure(frames=24, speed=0.0, turns={"thigh.L": -1.2 * swing, "shin.L": 1.6 * swing})


@pytest.mark.parametrize("start", range(0, 24, 4))
def test_a_foot_that_lands_at_the_seam_does_not_break_it(start):
    assert [n for n, _p in names(check_clip(walking_in_place(start), LOOP))].count("loop_seam") == 0


@pytest.mark.parametrize("metres", [0.03, 0.06])
@pytest.mark.parametrize("at", [2, 3])
def test_a_pop_of_the_root_and_a_broken_seam_of_an_arm_are_two_events(metres, at):
    gone = 0.8 * np.clip((np.arange(48) - 39) / 8.0, 0.0, 1.0) ** 2
    shift = np.outer(spike(48, at, metres), UP)
    shot = check_clip(figure(shift=shift, turns={"upper_arm.R": gone}), LOOP)
    assert names(shot) == [("pop", "root"), ("loop_seam", "upper_arm.R")]
