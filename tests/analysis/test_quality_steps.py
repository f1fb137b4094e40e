# SPDX-License-Identifier: GPL-3.0-or-later
"""Planted steps go as much further as they say, over a foot that stays where it is."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.cells import Cell, planted_cases
from tests.quality.moves import height_of, target
from tests.quality.work import cases_of


def planted(which, size=25.0, count=6):
    cell = Cell("step_travel", "root", size, which, "A")
    return list(planted_cases(cell, cases_of(which), range(count)))


@pytest.mark.parametrize("which", ["walks_24", "walks_30"])
def test_a_step_goes_as_much_further_as_it_says(which):
    found = planted(which)
    assert len(found) == 6
    for case, fault in found:
        before, after = case.clip, fault.clip
        first, last = (int(np.flatnonzero(after.frames == at)[0]) for at in fault.frames)
        root = target(after, "root").joint
        gone = [
            np.linalg.norm(np.diff(c.positions[[first, last], root, :2], axis=0))
            for c in (before, after)
        ]
        assert gone[1] / gone[0] == pytest.approx(1.25, abs=0.05)
        shift = (after.positions - before.positions)[:, root]
        assert np.abs(shift[: first + 1]).max() < 1e-6
        further = shift[last + 1 :, :2]
        assert np.ptp(further, axis=0).max() < 1e-6
        assert -0.07 * height_of(after) < shift[:, 2].min() <= shift[:, 2].max() < 1e-6


def test_feet_stand_where_they_stood_or_further_by_the_step():
    for case, fault in planted("walks_24"):
        further = np.linalg.norm((fault.clip.positions - case.clip.positions)[-1, 0, :2])
        for side in "LR":
            foot = target(fault.clip, f"foot.{side}").joint
            shift = np.linalg.norm((fault.clip.positions - case.clip.positions)[:, foot], axis=-1)
            swings = (shift > 0.005 * height_of(fault.clip)) & (shift < further - 0.02)
            assert shift[0] < 1e-6
            assert shift[-1] == pytest.approx(further, abs=0.01)
            assert swings.sum() < 0.6 / fault.clip.dt_s
