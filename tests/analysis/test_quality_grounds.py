# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults over a loop's seam, of two grounds and of hands on boxes are as large as they say."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from analysis.basis.boxes import within
from tests.quality.cells import Cell, planted_cases
from tests.quality.moves import height_of, target
from tests.quality.resting import sole_of
from tests.quality.work import cases_of


def planted(kind, part, size, which, half="A", count=8):
    cell = Cell(kind, part, size, which, half)
    return list(planted_cases(cell, cases_of(which), range(count)))


def moved_cm(case, fault):
    """(T,3) how far the part was moved, at 1.7 m."""
    joint = target(fault.clip, fault.part).joint
    moved = (fault.clip.positions - case.clip.positions)[:, joint]
    return 100.0 * 1.7 / height_of(fault.clip) * moved


@pytest.mark.parametrize("which", ["travelling", "strike_seam"])
def test_a_foot_slips_over_the_seam_on_a_stand(which):
    for case, fault in planted("slide_seam", "foot", 4.0, which):
        assert case.clip.meta.cycle
        moved = moved_cm(case, fault)
        assert np.linalg.norm(moved, axis=1).max() == pytest.approx(4.0, rel=0.02)
        # It is half-way there on one side of the seam and further on the other, and stands on both.
        over = np.linalg.norm(moved[[-1, 0]], axis=1)
        assert 0.0 < over[0] < over[1] < 4.0 * 1.01
        foot = target(case.clip, fault.part)
        low = sole_of(case.clip, foot)[[-1, 0], :, 2].min(axis=1)
        assert (low < 0.01 * height_of(case.clip)).all()


def test_the_other_leg_and_the_body_are_left_alone():
    for kind, which in (("slide_seam", "travelling"), ("two_grounds", "travelling")):
        for case, fault in planted(kind, "foot", 8.0 if kind == "two_grounds" else 4.0, which):
            leg = [target(case.clip, f"{n}.{fault.part[-1]}") for n in ("thigh", "shin", "foot")]
            toes = target(case.clip, f"toe.{fault.part[-1]}")
            moved = {each.joint for each in (*leg, toes) if each is not None}
            others = [n for n in range(len(case.clip.joints)) if n not in moved]
            assert np.array_equal(fault.clip.positions[:, others], case.clip.positions[:, others])


def test_one_foot_goes_further_in_all_its_stands():
    for case, fault in planted("two_grounds", "foot", 8.0, "travelling"):
        moved = moved_cm(case, fault)
        assert np.abs(moved[:, 1]).max() == pytest.approx(8.0, rel=0.02)
        assert np.abs(moved[:, [0, 2]]).max() < 1e-6
        other = fault.part[:-1] + ("R" if fault.part[-1] == "L" else "L")
        assert set(fault.carriers) >= {fault.part, other}


def test_a_hand_rests_on_its_box_and_slips_along_its_face():
    for _case, fault in planted("hand_slip", "hand", 3.0, "holds"):
        clip, hand = fault.clip, target(fault.clip, fault.part)
        at = np.flatnonzero((clip.frames >= fault.frames[0]) & (clip.frames <= fault.frames[1]))
        place, height = clip.positions[:, hand.joint], height_of(clip)
        way = (place[at[-1]] - place[at[0]]) * 100.0 * 1.7 / height
        assert np.linalg.norm(way) == pytest.approx(3.0, rel=0.05)
        seen = within(clip.supports[0], place[:, None])
        gap = seen.gap[at, 0] / height
        assert gap == pytest.approx(np.full(len(at), 0.01), abs=2e-3)
        # It stands before and after, and is led away from the box.
        steps = np.linalg.norm(np.diff(place, axis=0), axis=1) / height
        assert steps[at[0] - 3 : at[0]].max() < 1e-4
        assert steps[at[-1] : at[-1] + 2].max() < 1e-4
        assert seen.gap[:, 0].max() > 0.05 * height
