# SPDX-License-Identifier: GPL-3.0-or-later
"""Leave-out residuals against numpy's own polynomial fits."""

import numpy as np
import pytest

from analysis.leave_out import DEGREE, NEARBY, REACH, leave_out

RNG = np.random.default_rng(11)


@pytest.mark.parametrize("width", [1, 2, 3])
def test_offset_equals_a_direct_fit(width):
    path = RNG.normal(size=(40, 3)).cumsum(axis=0)
    found = leave_out(path, width)
    reach, degree = REACH[width], DEGREE[width]
    for start in (10, 17, 25):
        inside = np.arange(start, start + width)
        around = np.r_[start - reach : start, start + width : start + width + reach]
        for axis in range(3):
            fit = np.polynomial.Polynomial.fit(around, path[around, axis], degree)
            np.testing.assert_allclose(
                found.offset[start, :, axis], path[inside, axis] - fit(inside), atol=1e-9
            )


@pytest.mark.parametrize("width", [1, 2, 3])
def test_a_quartic_leaves_nothing_inside(width):
    time = np.linspace(-1, 1, 60)
    path = np.stack((time**4, 3 * time**3 - time, time**2), axis=-1)
    found = leave_out(path, width)
    margin = NEARBY + REACH[width] + 1
    inside = slice(margin, -margin - width)
    assert found.size[inside].max() < 1e-12
    assert found.left[inside].max() < 1e-12


@pytest.mark.parametrize("width", [1, 2, 3])
def test_a_block_off_a_smooth_path_is_measured_and_leaves_nothing(width):
    time = np.linspace(0, 1, 50)
    path = np.stack((time, time**2, np.zeros(50)), axis=-1)
    path[20 : 20 + width, 2] += 0.04
    found = leave_out(path, width)
    assert found.size[20] == pytest.approx(0.04)
    assert found.left[20] < 1e-12
    # Any other place leaves the block as large as it is.
    others = np.delete(found.size / (1e-4 + found.left), [20])
    assert others.max() < 1.5


def test_left_equals_the_residuals_of_the_repaired_path():
    path = RNG.normal(size=(50, 3))
    found = leave_out(path, 1)
    repaired = path.copy()
    repaired[25] -= found.offset[25, 0]
    again = leave_out(repaired, 1)
    assert found.left[25] == pytest.approx(again.size[25 - NEARBY : 25 + NEARBY + 1].max())


def test_ends_short_and_constant_input():
    path = RNG.normal(size=(30, 3))
    found = leave_out(path, 2)
    assert found.size[0] == 0.0
    assert (found.size[-2:] == 0.0).all()
    assert leave_out(path[:9], 1).size[4] > 0.0
    assert (leave_out(path[:8], 1).size == 0.0).all()
    assert (leave_out(np.ones((30, 3)), 1).size < 1e-12).all()
