# SPDX-License-Identifier: GPL-3.0-or-later
"""Stalls on single paths whose right answer is known by construction."""

import numpy as np
import pytest

from analysis.stall import REACH, find_stalls
from analysis.still import stillness

WIDTHS = range(1, 7)


def arc(count=60, radius=0.5):
    """A point that goes round evenly, .052 m a step."""
    angle = 2 * np.pi * np.arange(count) / count
    path = radius * np.stack((np.cos(angle), np.sin(angle), 0 * angle), axis=-1)
    return path[:, None, None]


def held(path, at, count):
    """The path with `count` samples from index `at` standing where the one before them is."""
    stuck = path.copy()
    stuck[at : at + count] = path[at - 1]
    return stuck


def clearest(stalls):
    ratio = stalls.size / (1e-3 + stalls.left)
    return int(np.argmax(ratio)), float(ratio.max())


@pytest.mark.parametrize("count", [2, 3, 4, 6])
def test_a_hold_is_found_with_what_it_hides(count):
    clean = arc()
    stalls = find_stalls(held(clean, 30, count), WIDTHS, least=0.01)
    best, ratio = clearest(stalls)
    assert ratio > 10
    assert (stalls.start[best], stalls.width[best], stalls.after[best]) == (30, count, True)
    assert stalls.pace[best] == pytest.approx(0.0, abs=1e-9)
    assert stalls.worst[best] == 30 + count - 1
    hidden = clean[29 + count, 0, 0] - clean[29, 0, 0]
    np.testing.assert_allclose(stalls.hidden[best], hidden, atol=0.002)
    # It should have gone as far as it goes elsewhere, and makes up for it in one step.
    step = np.linalg.norm(clean[1] - clean[0])
    assert stalls.step[best] == pytest.approx(step, rel=0.02)
    assert stalls.burst[best] == pytest.approx((count + 1) * step, rel=0.06)
    assert stalls.beside[best] == pytest.approx(step, rel=0.01)


def test_a_path_played_backwards_jumps_first_and_waits_then():
    stalls = find_stalls(held(arc(), 30, 3)[::-1], WIDTHS, least=0.01)
    best, _ratio = clearest(stalls)
    assert (stalls.start[best], stalls.width[best], stalls.after[best]) == (60 - 33, 3, False)


def test_clean_paths_hold_no_stall():
    assert len(find_stalls(arc(), WIDTHS, least=0.001)) == 0
    still = np.zeros((40, 1, 1, 3))
    assert len(find_stalls(still, WIDTHS, least=0.001)) == 0


def test_a_point_that_turns_back_hides_nothing():
    """A swing is slow at its ends, and nothing is caught up there."""
    swing = np.zeros((60, 1, 1, 3))
    swing[:, 0, 0, 0] = 0.4 * np.sin(2 * np.pi * np.arange(60) / 24)
    assert len(find_stalls(swing, WIDTHS, least=0.01)) == 0


@pytest.mark.parametrize("count", [0, 1, 2 * REACH, 2 * REACH + 1])
def test_paths_that_are_too_short_hold_none(count):
    assert len(find_stalls(np.random.default_rng(1).random((count, 2, 3, 3)), WIDTHS, least=0)) == 0


def test_the_ends_are_not_judged():
    for at in (1, 2, 57):
        stalls = find_stalls(held(arc(), at, 2), WIDTHS, least=0.01)
        assert not np.any((stalls.start == at) & (stalls.width == 2))


def test_a_figure_is_dead_where_most_of_what_moves_is():
    points = np.concatenate([arc()[:, 0] + k for k in range(10)], axis=1)
    points[30:34] = points[29]
    whole = stillness(points, 1.7)
    assert whole.whole(29, 33)
    assert not whole.whole(28, 34)
    points[:, :4] = arc()[:, 0]  # four of ten go on
    assert not stillness(points, 1.7).whole(29, 33)
    points[:, 1:] = 0.0  # one point alone moves: the figure does not
    points[30:34] = points[29]
    assert not stillness(points, 1.7).whole(29, 33)
