# SPDX-License-Identifier: GPL-3.0-or-later
"""The bench's bodies out of balance are as far out as they say, on feet that stay, and nowhere
else: measured with scipy's convex hull."""

import os

import numpy as np
import pytest
from scipy.spatial import ConvexHull

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from analysis import Settings
from analysis.basis import build_basis
from tests.quality.cells import Cell, planted_cases
from tests.quality.faults.balance import STANDING
from tests.quality.moves import height_of
from tests.quality.standing import LOW, WIDE, outside
from tests.quality.work import cases_of

SIZES = (4.0, 10.0)


def out_cm(clip, sample):
    """How far the weight is outside of the hull of the soles that bear, in cm at 1.7 m."""
    basis, height = build_basis(clip, Settings(cycle="no")), height_of(clip)
    corners = []
    for each in basis.soles:
        if not any(p.side == each.sole.side and p.first <= sample <= p.last for p in basis.plants):
            continue
        foot = each.sole.body
        along = (basis.marks[sample, foot, 1] - basis.marks[sample, foot, 0])[:2]
        across = 0.5 * WIDE * height * np.array([-along[1], along[0]]) / np.linalg.norm(along)
        points = each.sole.points[sample][each.clearance[sample] < LOW * height, :2]
        corners += [points + across, points - across]
    hull = ConvexHull(np.concatenate(corners))
    ring = hull.points[hull.vertices]
    point, gaps = basis.com[sample, :2], []
    for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        share = np.clip((point - a) @ (b - a) / ((b - a) @ (b - a)), 0.0, 1.0)
        gaps.append(np.linalg.norm(point - a - share * (b - a)))
    inside = (hull.equations[:, :2] @ point + hull.equations[:, 2] <= 0.0).all()
    return (-1.0 if inside else 1.0) * min(gaps) / height * 170.0


@pytest.mark.corpus
@pytest.mark.parametrize("which", STANDING)
@pytest.mark.parametrize("size", SIZES)
def test_what_is_planted_is_as_far_out_as_it_says(which, size):
    cell = Cell("off_balance", "root", size, which, "A")
    found = list(planted_cases(cell, cases_of(which), range(2)))
    assert len(found) == 2
    for _case, fault in found:
        frames = np.flatnonzero(
            (fault.clip.frames >= fault.frames[0]) & (fault.clip.frames <= fault.frames[1])
        )
        outs = [out_cm(fault.clip, n) for n in frames]
        assert min(outs) == pytest.approx(fault.size, abs=0.3)
        assert fault.size == pytest.approx(size, abs=0.9)
        assert (len(frames) - 1) * fault.clip.dt_s == pytest.approx(0.4, abs=0.5 * fault.clip.dt_s)


@pytest.mark.parametrize("which", ["holds", "arrivals"])
def test_it_is_planted_nowhere_else_and_the_feet_stay(which):
    cell = Cell("off_balance", "root", 10.0, which, "A")
    for case, fault in planted_cases(cell, cases_of(which), range(4)):
        moved = np.abs(fault.clip.positions - case.clip.positions).max(axis=(1, 2)) > 1e-9
        frames = case.clip.frames[moved]
        reach = 0.7 / case.clip.dt_s  # the ease, and what trails
        assert frames.min() >= fault.frames[0] - reach
        assert frames.max() <= fault.frames[1] + reach
        feet = [case.clip.joint(case.clip.meta.roles[f"foot.{side}"][0]) for side in "LR"]
        gap = (fault.clip.positions - case.clip.positions)[:, feet]
        assert np.abs(gap).max() < 1e-3 * height_of(case.clip)


def test_the_distance_from_a_hull_by_directions_is_scipy_s():
    rng = np.random.default_rng(5)
    points = rng.normal(size=(40, 7, 2))
    com = 3.0 * rng.normal(size=(40, 2))
    told = outside(com, points)
    for n in range(40):
        hull = ConvexHull(points[n])
        beyond = hull.equations[:, :2] @ com[n] + hull.equations[:, 2]
        if beyond.max() > 0.0:
            ring = hull.points[hull.vertices]
            ends = np.roll(ring, -1, axis=0) - ring
            share = np.sum((com[n] - ring) * ends, axis=1) / np.sum(ends**2, axis=1)
            near = ring + np.clip(share, 0.0, 1.0)[:, None] * ends
            assert told[n] == pytest.approx(np.linalg.norm(com[n] - near, axis=1).min(), rel=5e-3)
        else:
            assert told[n] <= 0.0
    assert np.isinf(outside(com[:1], np.full((1, 3, 2), np.nan))[0])
