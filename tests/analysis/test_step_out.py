# SPDX-License-Identifier: GPL-3.0-or-later
"""Steps taken out of paths, against least squares done by numpy."""

import numpy as np
import pytest

from analysis.step_out import DEGREE, REACH, step_out


def by_hand(path, at):
    """The step before a sample, fitted together with a polynomial on either side."""
    window = path[at - REACH : at + REACH]
    time = np.arange(len(window)) - (REACH - 0.5)
    model = np.column_stack((time > 0, np.vander(time, DEGREE + 1)))
    return np.linalg.lstsq(model, window, rcond=None)[0][0]


def test_the_step_is_the_least_squares_fit():
    path = np.cumsum(np.random.default_rng(3).normal(size=(30, 3)), axis=0)
    steps, _left = step_out(path[:, None])
    for at in range(REACH, 30 - REACH + 1):
        np.testing.assert_allclose(steps[at, 0], by_hand(path, at), atol=1e-9)


@pytest.mark.parametrize("degree", [0, 1, 2, 3])
def test_a_step_on_a_cubic_is_told_to_its_size_and_leaves_nothing(degree):
    time = np.arange(40.0)
    path = np.zeros((40, 1, 3))
    path[:, 0, 0] = ((time - 17) / 10) ** degree
    path[20:, 0, 1] += 2.5
    steps, left = step_out(path)
    np.testing.assert_allclose(steps[20, 0], [0, 2.5, 0], atol=1e-9)
    assert left[20, 0] < 1e-9
    assert left[19, 0] > 0.5  # beside it, what is left says that the step is elsewhere


def test_one_sample_off_is_no_step():
    path = np.zeros((40, 1, 3))
    path[20, 0, 0] = 1.0
    steps, left = step_out(path)
    assert np.linalg.norm(steps[20, 0]) < 3.5 * left[20, 0]


def test_ends_have_no_step_and_short_paths_none_at_all():
    path = np.cumsum(np.ones((20, 1, 3)), axis=0) ** 2
    path[10:] += 1.0
    steps, _left = step_out(path)
    assert not steps[:REACH].any()
    assert not steps[len(path) - REACH + 1 :].any()
    assert not step_out(path[: 2 * REACH - 1])[0].any()
