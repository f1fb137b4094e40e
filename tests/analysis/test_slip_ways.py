# SPDX-License-Identifier: GPL-3.0-or-later
"""The frames that a slip is named by: those in which most of its way is gone."""

import numpy as np
import pytest

from analysis.basis.slip_ways import longest, main


def along(*stretches):
    """A path (N,3) along x: so many centimetres in so many even steps, one after another."""
    steps = np.concatenate([np.full(count, 0.01 * far / count) for far, count in stretches])
    path = np.zeros((len(steps) + 1, 3))
    path[1:, 0] = np.cumsum(steps)
    return path


def named(path):
    return main(path, (0, len(path) - 1))


@pytest.mark.parametrize("turned", [False, True])
def test_a_long_creep_beside_a_slip_is_none_of_its_frames(turned):
    """3 mm in 20 steps, and then 3 cm in 5: the slip is those five, whichever comes first."""
    parts = [(0.3, 20), (3.0, 5)]
    first, last = named(along(*(parts[::-1] if turned else parts)))
    assert (first, last) == ((0, 5) if turned else (20, 25))


def test_creep_on_both_sides_is_left_out():
    assert named(along((0.2, 10), (3.0, 5), (0.2, 10))) == (10, 15)


def test_an_even_drift_keeps_its_frames_but_for_a_tenth():
    first, last = named(along((6.0, 100)))
    assert (first, last) == (pytest.approx(5, abs=1), pytest.approx(95, abs=1))


def test_a_slip_that_eases_in_and_out_keeps_its_easing():
    """A smooth step over 20: slow at its ends, and no creep."""
    u = np.linspace(0.0, 1.0, 21)
    path = np.zeros((21, 3))
    path[:, 1] = 0.05 * u * u * (3.0 - 2.0 * u)
    assert named(path) == (2, 18)


def test_a_slip_in_two_pieces_is_named_from_the_first_to_the_last():
    assert named(along((1.5, 3), (0.0001, 12), (1.5, 3))) == (0, 18)


def test_a_way_of_one_step_is_that_step():
    assert named(along((0.01, 8), (3.0, 1), (0.01, 8))) == (8, 9)


def plainly(path, whole, rise, least, most):
    """`longest` as its docstring has it: every two samples that lie at most so far apart."""
    best, at = 0.0, None
    for apart in range(1, min(most, len(path) - 1) + 1):
        for first in range(len(path) - apart):
            ways = [each[first + apart] - each[first] for each in (path, whole)]
            way = min(ways, key=lambda each: np.hypot(each[0], each[1]))
            size = float(np.hypot(way[0], way[1]))
            if abs(way[2]) <= rise * size + least and size > best:
                best, at = size, (first, first + apart)
    return best, at


@pytest.mark.parametrize("seed", range(6))
def test_the_longest_way_is_that_of_all_pairs(seed):
    rng = np.random.default_rng(seed)
    steps = rng.normal(0.0, 0.01, (40, 3)) * [1.0, 1.0, 0.2]
    whole, path = (
        np.concatenate((np.zeros((1, 3)), np.cumsum(each, axis=0)))
        for each in (steps, steps * (rng.random((40, 1)) < 0.7))
    )
    most = [3, 8, 40]
    for (way, at), apart in zip(longest(path, whole, 0.3, 1e-4, most), most, strict=True):
        size, where = plainly(path, whole, 0.3, 1e-4, apart)
        assert (np.linalg.norm(way), at) == (pytest.approx(size), where)
        assert way[2] == 0.0


@pytest.mark.parametrize("count", [1, 2])
def test_a_path_that_goes_nowhere_has_no_way(count):
    nowhere = np.zeros((count, 3))
    assert [(list(way), at) for way, at in longest(nowhere, nowhere, 0.3, 0.0, [2, 5])] == [
        ([0.0, 0.0, 0.0], (0, 1)),
        ([0.0, 0.0, 0.0], (0, 1)),
    ]


def test_a_way_that_goes_back_and_forth_is_some_steps_long():
    """A foot may have been further before than it is now: the stretch is never empty."""
    for seed in range(300):
        rng = np.random.default_rng(seed)
        path = np.cumsum(rng.normal(size=(int(rng.integers(3, 20)), 3)), axis=0)
        first, last = main(path, (0, len(path) - 1))
        assert 0 <= first < last < len(path)
