# SPDX-License-Identifier: GPL-3.0-or-later
"""Shoves are as large as they say, on their frames, and nowhere else."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from analysis import Settings
from analysis.basis import build_basis
from tests.quality.cells import Cell, planted_cases
from tests.quality.faults.shoves import GATHERS_S
from tests.quality.moves import height_of, target
from tests.quality.work import cases_of

COUNT = 6


def planted(kind, size, which):
    cases = [case for case in cases_of(which) if case.half == "A"]
    return list(planted_cases(Cell(kind, "root", size, which, "A"), cases, range(COUNT)))


def moved(case, fault):
    """(T,2) by how much the centre of mass is moved, seen from above, metres at 1.7 m: speeds go
    with the root of the height."""
    before, after = (build_basis(clip, Settings()).com for clip in (case.clip, fault.clip))
    return (after - before)[:, :2] / np.sqrt(height_of(case.clip) / 1.7)


def samples(case, fault):
    return [int(np.searchsorted(case.clip.frames, frame)) for frame in fault.frames]


@pytest.mark.parametrize("which", ["hops_24", "hops_30"])
@pytest.mark.parametrize("size", [0.5, 1.0])
def test_a_body_in_the_air_goes_on_with_that_speed(which, size):
    found = planted("shove_air", size, which)
    assert len(found) == COUNT
    for case, fault in found:
        way = moved(case, fault)
        first, last = samples(case, fault)
        assert np.abs(way[: first + 1]).max() < 1e-9
        (flight,) = [
            each
            for each in build_basis(case.clip, Settings()).flights
            if each.first < first and last < each.last
        ]
        assert flight.samples >= 9
        speed = np.linalg.norm(np.diff(way, axis=0), axis=1) / case.clip.dt_s
        assert speed[last : flight.last] == pytest.approx(size, rel=0.02)
        assert np.abs(speed[flight.last + 1 :]).max() < 1e-9
        shift = fault.clip.positions - case.clip.positions
        assert np.abs(shift - shift[:, :1]).max() < 1e-9  # as a whole


@pytest.mark.parametrize("size", [0.5, 0.8])
def test_a_body_on_its_feet_gathers_that_speed_and_keeps_its_feet(size):
    found = planted("shove", size, "holds")
    assert found
    for case, fault in found:
        clip, count = case.clip, len(case.clip.frames)
        root = target(clip, "root").joint
        shift = (fault.clip.positions - clip.positions)[:, root]
        first, last = samples(case, fault)
        assert np.abs(shift[:first]).max() < 1e-9
        speed = np.linalg.norm(np.diff(shift, axis=0), axis=1) / clip.dt_s
        top = size * np.sqrt(height_of(clip) / 1.7)
        assert speed[first : last + 2].max() == pytest.approx(top, rel=0.1)
        assert (last - first) * clip.dt_s < GATHERS_S + 2.0 * clip.dt_s
        assert count == len(fault.clip.frames)
        feet = [target(clip, f"foot.{side}").joint for side in "LR"]
        off = np.linalg.norm((fault.clip.positions - clip.positions)[:, feet], axis=-1)
        assert off.max() < 0.003 * height_of(clip)
