# SPDX-License-Identifier: GPL-3.0-or-later
"""Blocks foretold by a curve and by a straight line: against scipy's and numpy's own answers."""

import numpy as np
import pytest
from scipy.interpolate import interp1d

from analysis.foretold import flicks_by, foretellers, least, repaired_steps, residuals

RNG = np.random.default_rng(5)


@pytest.mark.parametrize("width", [1, 2])
def test_residuals_are_those_of_the_fitted_quartic_and_of_the_chord(width):
    time = np.arange(-3, width + 3)
    inside = (time >= 0) & (time < width)
    values = RNG.normal(size=(1, width + 6, 3))
    curve, line = residuals(values, width)
    for axis in range(3):
        fit = np.polyfit(time[~inside], values[0, ~inside, axis], 4)
        assert curve[0, :, axis] == pytest.approx(
            values[0, inside, axis] - np.polyval(fit, time[inside])
        )
    beside = (time == -1) | (time == width)
    chord = interp1d(time[beside], values[0, beside], axis=0)
    assert line[0] == pytest.approx(values[0, inside] - chord(time[inside]))


@pytest.mark.parametrize("width", [1, 2])
def test_quartics_are_on_the_curve_and_lines_on_both(width):
    time = np.arange(-3.0, width + 3.0)
    curve, line = foretellers(width)
    assert curve @ (time**4 - 2.0 * time**3 + time) == pytest.approx(0.0, abs=1e-9)
    assert curve @ time == pytest.approx(0.0, abs=1e-12)
    assert line @ (3.0 * time - 1.0) == pytest.approx(0.0, abs=1e-12)
    assert np.abs(line @ time**2).max() >= 1.0


def test_the_least_of_what_agrees_and_nothing_of_what_does_not():
    ways = [np.array([[2.0, -3.0, 1.0]]), np.array([[1.0, -4.0, -1.0]])]
    assert least(ways).tolist() == [[1.0, 3.0, 0.0]]


@pytest.mark.parametrize("width", [1, 2])
def test_a_bump_flicks_by_its_height(width):
    bump = np.zeros((1, width + 6, 3))
    bump[0, 3 : 3 + width, 1] = 2.0
    assert flicks_by(bump, width) == pytest.approx(2.0)


def test_a_corner_beside_a_sample_is_off_the_curve_alone():
    corner = np.zeros((1, 7, 3))
    corner[0, :, 0] = np.arange(7.0)
    corner[0, :, 1] = np.maximum(np.arange(-4.0, 3.0), 0.0)
    assert flicks_by(corner, 1) == pytest.approx(0.0, abs=1e-12)
    assert np.linalg.norm(residuals(corner, 1)[0]) > 0.1


def test_steps_of_what_is_repaired_are_those_without_the_bump():
    straight = np.zeros((1, 8, 3))
    straight[0, :, 0] = np.arange(8.0)
    off = np.zeros((1, 2, 3))
    off[0, :, 2] = 5.0
    bumped = straight.copy()
    bumped[:, 3:5] += off
    assert repaired_steps(bumped, off) == pytest.approx(np.ones((1, 7)))
