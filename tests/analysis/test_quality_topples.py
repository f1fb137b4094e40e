# SPDX-License-Identifier: GPL-3.0-or-later
"""Simulated stiff falls: between a rod's time and a pendulum's, and slowed down by what it says."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_SIMULATED") is None:
    pytest.skip("PLUMBLINE_SIMULATED is not set: run the test runner", allow_module_level=True)

from analysis import Settings
from analysis.basis import build_basis
from analysis.topple import find_topples
from tests.quality.cells import Cell, planted_cases
from tests.quality.faults.topples import FALLS
from tests.quality.work import cases_of

ONCE = Settings(cycle="no")


def lean_deg(clip):
    """(T,) how far the centre of mass leans away from between the feet."""
    basis = build_basis(clip, ONCE)
    feet = np.concatenate([each.sole.points for each in basis.soles], axis=1).mean(axis=1)
    away = basis.com - feet
    return np.degrees(np.arctan2(np.hypot(away[:, 0], away[:, 1]), away[:, 2]))


def seconds_to(lean, degrees, dt_s):
    """When a lean first passes so many degrees, between samples."""
    at = int(np.argmax(lean >= degrees))
    part = (degrees - lean[at - 1]) / (lean[at] - lean[at - 1])
    return (at - 1 + part) * dt_s


@pytest.mark.parametrize("which", FALLS)
def test_what_is_simulated_falls_as_rods_and_pendulums_do(which):
    """MuJoCo's bodies are neither: they take no longer than the rod and, but for a frame, no less
    than the pendulum, over what is told of their falls. (Bodies that begin at speed, which gives
    no even fall in so few frames, are told to be unjudged.)"""
    found = 0
    for case in cases_of(which):
        if case.source != "stiff":
            continue
        even = [each for each in find_topples(build_basis(case.clip, ONCE)) if each.even]
        for topple in even:
            found += 1
            frame = case.clip.dt_s
            assert topple.pendulum_s - frame <= topple.took_s <= topple.rod_s + frame
            assert 0.9 < topple.of_rod < 1.35
    assert found >= 20


@pytest.mark.parametrize("which", FALLS)
@pytest.mark.parametrize("size", [1.4, 1.8])
def test_a_topple_is_as_slow_as_it_says_and_begins_as_it_was(which, size):
    cell = Cell("topple_slow", "root", size, which, "A")
    planted = list(planted_cases(cell, cases_of(which), range(4)))
    assert len(planted) == 4
    for case, fault in planted:
        assert fault.size == pytest.approx(size, abs=0.12)
        step = case.clip.dt_s
        clean, slow = lean_deg(case.clip), lean_deg(fault.clip)
        took, takes = (
            seconds_to(each, 30.0, step) - seconds_to(each, 10.0, step) for each in (clean, slow)
        )
        assert takes / took == pytest.approx(size, rel=0.12)
