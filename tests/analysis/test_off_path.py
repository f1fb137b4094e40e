# SPDX-License-Identifier: GPL-3.0-or-later
"""How far blocks of samples are off their path: against numpy's and scipy's own answers."""

import numpy as np
import pytest
from scipy.ndimage import median_filter

from analysis.leave_out import reflect
from analysis.off_path import Block, Places, look, look_at, sizes, strides, usual
from analysis.pop_limits import BY_WIDTH, FORETOLD, HALF_KNOWN, hidden

PATH = np.cumsum(np.random.default_rng(3).normal(size=(60, 1, 1, 3)), axis=0)


def padded(path, block):
    return reflect(path.reshape(len(path), -1), block.margin).reshape(-1, *path.shape[1:])


def at(first):
    return Places(np.array([first]), np.array([0]), np.array([0]))


def predicted(path, first, width, stride):
    """The block by a quartic through three samples on either side, by numpy's least squares."""
    time = np.arange(-3, width + 3)
    inside = (time >= 0) & (time < width)
    values = path[first + stride * time, 0, 0]
    fits = [np.polyfit(time[~inside], values[~inside, axis], 4) for axis in range(3)]
    return np.stack([np.polyval(fit, time[inside]) for fit in fits], axis=-1)


@pytest.mark.parametrize("stride", [1, 2])
@pytest.mark.parametrize("width", [1, 2, 3])
def test_offsets_and_sizes_are_those_of_the_fitted_quartic(width, stride):
    block = Block(width, stride)
    found = sizes(padded(PATH, block), block)
    for first in (20, 31):
        covered = first + stride * np.arange(width)
        off = PATH[covered, 0, 0] - predicted(PATH, first, width, stride)
        seen = look_at((padded(PATH, block),), block, at(first))
        np.testing.assert_allclose(seen.offset[0], off, atol=1e-9)
        assert found[first, 0, 0] == pytest.approx(np.linalg.norm(off, axis=-1).max())
        assert seen.size[0] == pytest.approx(found[first, 0, 0])


def test_a_quartic_path_is_smooth_and_only_what_is_added_is_off():
    time = np.arange(60.0) / 10.0
    path = np.stack((time**4, -(time**3), 2.0 * time**2), axis=-1)[:, None, None]
    path[30, 0, 0] += [3.0, 4.0, 0.0]
    block = Block(1)
    seen = look_at((padded(path, block),), block, at(30))
    np.testing.assert_allclose(seen.offset[0, 0], [3.0, 4.0, 0.0], atol=1e-6)
    assert seen.left[0] == pytest.approx(0.0, abs=1e-6)
    clean = np.linalg.norm(np.diff(np.delete(path[25:36, 0, 0], 5, axis=0), axis=0), axis=-1)
    assert clean.min() < seen.step[0] < clean.max()


def test_both_sides_say_what_leaves_and_only_one_what_turns():
    spike = np.zeros((60, 1, 1, 3))
    spike[30] = [1.0, 0.0, 0.0]
    corner = np.maximum(np.arange(60.0) - 30.0, 0.0)[:, None, None, None] * [1.0, 0.0, 0.0]
    block = Block(1)
    np.testing.assert_allclose(look_at((padded(spike, block),), block, at(30)).share, [[1, 1]])
    np.testing.assert_allclose(
        look_at((padded(corner, block),), block, at(30)).share, [[0, 0]], atol=1e-12
    )


def test_the_usual_size_is_the_median_around():
    found = np.random.default_rng(1).uniform(size=(80, 1, 1))
    everywhere = Places(np.arange(80), np.zeros(80, dtype=int), np.zeros(80, dtype=int))
    expected = median_filter(found[:, 0, 0], size=19, mode="mirror")
    np.testing.assert_allclose(usual(found, 9, everywhere), expected)


@pytest.mark.parametrize(
    ("fps", "expected"), [(24, (1,)), (30, (1,)), (48, (1, 2)), (60, (1, 2)), (120, (1, 2, 4))]
)
def test_strides_leave_24_samples_a_second(fps, expected):
    assert strides(fps) == expected


def test_what_is_left_is_that_of_the_smoothest_continuation():
    block = Block(1)
    plain = padded(PATH, block)
    rough = plain.copy()
    rough[: block.margin] += np.random.default_rng(2).normal(size=rough[: block.margin].shape)
    left = [look_at(paths, block, at(1)).left[0] for paths in ((plain,), (rough, plain))]
    assert left[0] == pytest.approx(left[1])


@pytest.mark.parametrize("sure", [True, False])
def test_a_side_that_is_not_foretold_hides_more(sure):
    """A single sample beside an unforeseeable move must be clear of the largest residual left."""
    windows = np.zeros((1, 15, 3))
    windows[0, 7, 2] = 1.0
    if not sure:
        windows[0, :7, 0] = [0.0, 0.0, 0.0, 0.0, 0.0, 0.9, 0.0]
    seen = look(windows, 1)
    plain = BY_WIDTH[1].left * seen.left[0]
    assert (seen.error[0] > FORETOLD).any() == (not sure)
    expected = plain if sure else max(plain, HALF_KNOWN * seen.most[0])
    assert hidden(seen, Block(1))[0] == pytest.approx(expected)
    assert seen.left[0] <= seen.most[0]
