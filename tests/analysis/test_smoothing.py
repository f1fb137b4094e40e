# SPDX-License-Identifier: GPL-3.0-or-later
"""Smoothing against scipy.signal.savgol_filter and the minimum-jerk movement."""

import numpy as np
import pytest
from scipy.signal import savgol_filter

from analysis import SettingsError
from analysis.smoothing import smooth, window_frames

RNG = np.random.default_rng(3)
NOISE = RNG.normal(size=(80, 2, 3))


@pytest.mark.parametrize("derivative", [0, 1, 2])
@pytest.mark.parametrize("window_s", [0.2, 0.35])
def test_same_as_scipy(derivative, window_s):
    dt = 1 / 30
    window = window_frames(window_s, dt)
    expected = savgol_filter(NOISE, window, 3, deriv=derivative, delta=dt, axis=0, mode="interp")
    found = smooth(NOISE, dt, window_s=window_s, derivative=derivative)
    np.testing.assert_allclose(found, expected, atol=1e-9)


@pytest.mark.parametrize("fps", [24.0, 60.0])
def test_minimum_jerk_peak_speed(fps):
    # Flash & Hogan 1985, J Neurosci 5:1688-1703: x = 10u3 - 15u4 + 6u5, peak speed 1.875 d/T.
    u = np.linspace(0, 1, int(fps) + 1)
    path = 10 * u**3 - 15 * u**4 + 6 * u**5
    speed = smooth(path[:, None], 1 / fps, window_s=0.2, derivative=1)
    assert speed.max() == pytest.approx(1.875, rel=0.01)
    assert abs(u[speed.argmax()] - 0.5) <= 1 / fps


def test_windows_are_in_seconds():
    assert window_frames(0.2, 1 / 24) == 5
    assert window_frames(0.2, 1 / 60) == 13
    assert window_frames(0.01, 1 / 24) == 5


def test_short_and_constant_input():
    np.testing.assert_allclose(smooth(np.full((2, 3), 4.0), 0.1, window_s=0.5), 4.0)
    np.testing.assert_array_equal(smooth(np.ones((1, 3)), 0.1, window_s=0.5, derivative=1), 0.0)
    line = np.arange(6.0)[:, None]
    np.testing.assert_allclose(smooth(line, 0.5, window_s=9.0, derivative=1), 2.0)


def test_support_is_finite():
    changed = NOISE.copy()
    changed[40] += 5.0
    difference = smooth(changed, 1 / 30, window_s=0.3) - smooth(NOISE, 1 / 30, window_s=0.3)
    reach = window_frames(0.3, 1 / 30) // 2
    assert np.abs(np.delete(difference, np.arange(40 - reach, 41 + reach), axis=0)).max() < 1e-12


def test_a_derivative_above_the_degree_is_refused():
    with pytest.raises(SettingsError, match="derivative is 4"):
        smooth(NOISE, 0.1, window_s=0.5, derivative=4)
