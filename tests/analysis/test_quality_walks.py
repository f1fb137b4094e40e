# SPDX-License-Identifier: GPL-3.0-or-later
"""The corpus's walks of five strides and more, and the sways that are planted into them."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.cells import Cell, planted_cases
from tests.quality.sets import clean_cases
from tests.quality.work import cases_of

SETS = ("walks_24", "walks_30")


def ankles(clip):
    return np.stack([clip.positions[:, clip.joint(clip.meta.roles[f"foot.{s}"][0])] for s in "LR"])


def hips(clip):
    return clip.positions[:, clip.joint(clip.meta.roles["root"][0])]


def cycles_up(clip):
    """How often the hips go up through their middle height: twice a stride."""
    height = hips(clip)[:, 2] - np.median(hips(clip)[:, 2])
    return int(np.sum((height[1:] > 0.0) & (height[:-1] <= 0.0)))


@pytest.mark.parametrize("which", SETS)
def test_walks_are_long_at_their_rate_and_in_both_halves(which):
    cases = clean_cases([which])
    assert {case.clip.fps for case in cases} == {float(which[-2:])}
    for half in "AB":
        ours = [case for case in cases if case.half == half]
        assert sum(case.seconds for case in ours) > 100.0
        assert min(case.seconds for case in ours) > 3.0
    assert all(case.half == "B" for case in cases if case.source == "walk")
    assert min(cycles_up(case.clip) for case in cases) >= 9


@pytest.mark.parametrize("which", SETS)
def test_no_stride_is_quite_like_another_and_none_much_larger(which):
    spreads = []
    for case in clean_cases([which]):
        side = hips(case.clip)[:, 0]
        side = side - np.polyval(np.polyfit(np.arange(len(side)), side, 1), np.arange(len(side)))
        turns = np.flatnonzero(np.diff(np.sign(np.diff(side))))
        swings = np.abs(np.diff(side[turns + 1]))
        swings = swings[swings > 0.3 * np.max(swings)]
        spreads.append(np.std(swings) / np.mean(swings))
    assert 0.03 < np.median(spreads) < 0.09
    assert max(spreads) < 0.2


@pytest.mark.parametrize("kind", ["sway_side", "sway_up"])
@pytest.mark.parametrize("which", SETS)
def test_a_planted_sway_has_its_size_and_the_feet_stay(kind, which):
    cell = Cell(kind, "root", 1.5, which, "A")
    found = list(planted_cases(cell, cases_of(which), range(6)))
    assert len(found) == 6
    axis = 0 if kind == "sway_side" else 2
    for case, fault in found:
        assert fault.size == pytest.approx(1.5, abs=0.02)
        moved = hips(fault.clip) - hips(case.clip)
        assert np.abs(np.delete(moved, axis, axis=1)).max() < 1e-12
        inside = (case.clip.frames >= fault.frames[0]) & (case.clip.frames <= fault.frames[1])
        assert np.abs(moved[~inside]).max() < 1e-9
        assert np.abs(moved[inside]).max() > 0.004
        assert np.linalg.norm(ankles(fault.clip) - ankles(case.clip), axis=-1).max() < 0.002
