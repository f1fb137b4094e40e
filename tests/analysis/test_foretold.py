# SPDX-License-Identifier: GPL-3.0-or-later
"""Blocks foretold by a curve and by straight lines: against scipy's and numpy's own answers."""

import numpy as np
import pytest
from scipy.interpolate import interp1d

from analysis.foretold import (
    both_straight,
    flicks_by,
    foretellers,
    least,
    off_all,
    repaired_steps,
    residuals,
)

RNG = np.random.default_rng(5)


@pytest.mark.parametrize("width", [1, 2])
def test_residuals_are_those_of_the_fitted_quartic_and_of_lines(width):
    time = np.arange(-3, width + 3)
    inside = (time >= 0) & (time < width)
    values = RNG.normal(size=(1, width + 6, 3))
    curve, line, before, after = residuals(values, width)
    for axis in range(3):
        fit = np.polyfit(time[~inside], values[0, ~inside, axis], 4)
        assert curve[0, :, axis] == pytest.approx(
            values[0, inside, axis] - np.polyval(fit, time[inside])
        )
    beside = (time == -1) | (time == width)
    chord = interp1d(time[beside], values[0, beside], axis=0)
    assert line[0] == pytest.approx(values[0, inside] - chord(time[inside]))
    for found, two in ((before, (time == -1) | (time == -2)), (after, time >= width)):
        two &= time <= width + 1
        on = interp1d(time[two], values[0, two], axis=0, fill_value="extrapolate")
        assert found[0] == pytest.approx(values[0, inside] - on(time[inside]))


@pytest.mark.parametrize("width", [1, 2])
def test_quartics_are_on_the_curve_and_lines_on_all(width):
    time = np.arange(-3.0, width + 3.0)
    curve, *lines = foretellers(width)
    assert curve @ (time**4 - 2.0 * time**3 + time) == pytest.approx(0.0, abs=1e-9)
    assert curve @ time == pytest.approx(0.0, abs=1e-12)
    for line in lines:
        assert line @ (3.0 * time - 1.0) == pytest.approx(0.0, abs=1e-12)
        assert np.abs(line @ time**2).max() >= 1.0


def test_the_least_of_what_agrees_and_nothing_of_what_does_not():
    ways = [np.array([[2.0, -3.0, 1.0]]), np.array([[1.0, -4.0, -1.0]])]
    assert least(ways).tolist() == [[1.0, 3.0, 0.0]]


DIP = np.array([9.0, 6.0, 3.0, 0.0, 3.0, 6.0, 9.0])
FLATTER = np.array([9.0, 6.0, 3.0, 3.2, 3.0, 6.0, 9.0])


def off(values):
    """What the middle sample of seven is off at least, and whether both sides go straight."""
    windows = values[None, :, None]
    ways = residuals(windows, 1)
    straight = both_straight(windows, ways[0])
    return float(off_all([[each[..., 0] for each in ways]], straight)[0, 0]), bool(straight[0])


def test_what_sticks_out_of_a_dip_is_off_both_sides_lines():
    """Off the chord by .2 alone, but off what either side leads to by 3.2, the curve by less."""
    fit = np.polyfit(np.delete(np.arange(-3.0, 4.0), 3), np.delete(FLATTER, 3), 4)
    assert off(FLATTER) == (pytest.approx(3.2 - np.polyval(fit, 0.0)), True)
    assert off(FLATTER)[0] > 1.0


def test_a_dip_itself_is_on_both_sides_lines_and_off_the_curve_the_same_way_as_off_the_chord():
    fit = np.polyfit(np.delete(np.arange(-3.0, 4.0), 3), np.delete(DIP, 3), 4)
    assert off(DIP) == (pytest.approx(np.polyval(fit, 0.0)), True)


def test_sides_that_turn_sharply_are_not_asked():
    bent = np.array([9.0, 9.0, 3.0, 3.2, 3.0, 9.0, 9.0])
    assert off(bent) == (pytest.approx(0.2), False)


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
