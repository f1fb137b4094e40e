# SPDX-License-Identifier: GPL-3.0-or-later
"""Few keys keep a path within an error: parabolas and straight lines exactly, waves by few."""

from itertools import pairwise

import numpy as np
import pytest

from analysis.ball.thin import thin

T = np.arange(121.0)


def off(samples, found):
    return np.linalg.norm(found.path() - samples, axis=1).max()


def played(found, times):
    """(N,D) the Bezier curves through keys and handles, as they are defined: by de Casteljau's
    rule, where handles stand a third of the way in time, so that time goes evenly."""
    left, right = found.handles
    rows = []
    for time in times:
        n = min(int(np.searchsorted(found.at, time, side="right")) - 1, len(found.at) - 2)
        a, d = (np.array([found.at[k], *found.values[k]]) for k in (n, n + 1))
        b, c = right[n], left[n + 1]
        u = (time - a[0]) / (d[0] - a[0])
        for _ in range(3):
            a, b, c, d = a + u * (b - a), b + u * (c - b), c + u * (d - c), d
        rows.append(a)
        assert a[0] == pytest.approx(time)
    return np.array(rows)[:, 1:]


def bounces(contacts, per_frame2=9.81 / 24**2):
    """A path along x that falls and bounces at these times; between them parabolas."""
    up = np.zeros(len(T))
    for one, two in pairwise(contacts):
        inside = (one <= T) & (two >= T)
        up[inside] = 0.5 * per_frame2 * (T[inside] - one) * (two - T[inside])
    return np.stack((0.03 * T, np.zeros(len(T)), up), axis=1)


def sine(size=0.1, period=24.0):
    return np.stack((0.03 * T, size * np.sin(T * 2 * np.pi / period), np.zeros(len(T))), axis=1)


def test_bounces_take_a_key_a_contact_and_a_key_a_top():
    contacts = [0, 20, 36, 50, 61, 70, 78, 84, 90, 120]
    samples = bounces(contacts)
    found = thin(samples, error=0.005)
    assert found.at[found.corner].tolist() == contacts[1:-1]
    assert len(found.at) == 2 * len(contacts) - 1
    assert off(samples, found) < 1e-12
    assert found.error < 1e-12


def test_contacts_between_frames_take_few_keys_more():
    contacts = [0, 20.4, 36.3, 50.7, 61.2, 70.5, 78.1, 84.6, 90.4, 120]
    samples = bounces(contacts)
    found = thin(samples, error=0.005)
    assert off(samples, found) == pytest.approx(found.error)
    assert found.error <= 0.005
    assert len(found.at) <= 30


@pytest.mark.parametrize(("error", "most"), [(0.02, 12), (0.005, 12), (0.0005, 31)])
def test_a_sine_takes_a_few_keys_a_wave(error, most):
    """Five waves of .1 m. From top to bottom a cubic that is level there is off by 2 % of the size,
    2 mm; a third of that way by h^4 / 384 of the fourth derivative, .3 mm. So ten tops and the
    ends do for 5 mm, and three keys a half wave for half a millimetre."""
    samples = sine()
    found = thin(samples, error=error)
    assert off(samples, found) <= error
    assert len(found.at) <= most
    assert not found.corner.any()


def test_a_straight_line_and_a_still_one_take_their_ends():
    for samples in (np.outer(T, [0.03, -0.01, 0.0]), np.ones((121, 3))):
        assert thin(samples, error=1e-6).at.tolist() == [0, 120]


def test_lines_with_corners_are_kept_exactly():
    samples = np.interp(T, [0, 20, 50, 80, 120], [0, 1, 0, 0.8, -0.3])[:, None] * [[1.0, 0.0, 0.5]]
    found = thin(samples, error=0.005)
    assert found.at.tolist() == [0, 20, 50, 80, 120]
    assert found.at[found.corner].tolist() == [20, 50, 80]
    assert off(samples, found) < 1e-8


@pytest.mark.parametrize("size", [0.001, 0.02])
@pytest.mark.parametrize("width", [1, 3, 7])
def test_noise_stays_within_the_error(size, width):
    samples = np.random.default_rng(5).normal(0.0, size, (121, width))
    found = thin(samples, error=0.005)
    assert off(samples, found) <= 0.005
    assert found.error == pytest.approx(off(samples, found))
    if size == 0.001 and width == 1:
        assert len(found.at) == 2


def test_steps_and_poses_on_twos_stay_within_the_error():
    for held in (2, 4):
        samples = np.repeat(sine()[::held], held, axis=0)[: len(T)]
        assert off(samples, thin(samples, error=0.002)) <= 0.002


def test_kept_samples_have_keys_and_those_outside_count_for_nothing():
    found = thin(sine(), error=0.05, kept=[-3, 7, 8, 31, 400])
    assert {0, 7, 8, 31, 120} <= set(found.at.tolist())
    assert found.at.max() == 120


def test_handles_play_the_path_and_go_through_keys_smoothly_but_for_corners():
    samples = bounces([0, 20, 36, 50, 61, 70, 120]) + sine(0.05, 40.0)
    found = thin(samples, error=0.003)
    assert found.corner.any()
    assert played(found, T) == pytest.approx(found.path(), abs=1e-12)
    left, right = found.handles
    here = np.concatenate((found.at[:, None], found.values), axis=1)
    before, after = here - left, right - here
    before, after = (each[:, 1:] / each[:, :1] for each in (before, after))
    assert before[~found.corner] == pytest.approx(after[~found.corner], abs=1e-9)
    assert np.abs(before - after)[found.corner].max() > 0.01


@pytest.mark.parametrize("count", [2, 3, 4, 5, 6])
def test_a_few_samples_do(count):
    samples = np.random.default_rng(count).normal(size=(count, 3))
    found = thin(samples, error=1e-9)
    assert off(samples, found) <= 1e-9
    assert {0, count - 1} <= set(found.at.tolist())


def test_scale_and_place_change_nothing():
    samples = sine()
    found = thin(samples, error=0.005)
    large = thin(1000.0 * samples + 50.0, error=5.0)
    assert large.at.tolist() == found.at.tolist()
