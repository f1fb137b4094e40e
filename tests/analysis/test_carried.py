# SPDX-License-Identifier: GPL-3.0-or-later
"""Shapes of props from the clip's points, and the nearest places of two rods."""

from dataclasses import replace

import numpy as np
import pytest
from blades import BASE, TIP, WIDTH, swinging
from scipy.optimize import minimize

from analysis import Settings
from analysis.basis import build_basis
from analysis.carried import carried_in, second_hand_on
from analysis.rods import between_rods


def carried(clip):
    (found,) = carried_in(build_basis(clip, Settings()))
    return found


def test_a_sword_has_ends_and_edges():
    found = carried(swinging())
    assert found.base == pytest.approx([0.0, BASE, 0.0])
    assert found.tip == pytest.approx([0.0, TIP, 0.0])
    assert found.length == pytest.approx(TIP - BASE)
    assert found.width == pytest.approx(WIDTH)
    assert found.lines.shape == (3, 2, 3)
    assert found.side == "R"


def test_without_edges_it_is_a_line():
    found = carried(swinging(flat=False))
    assert found.width == 0.0
    assert found.lines.shape == (1, 2, 3)


def test_what_is_as_thick_as_wide_has_no_edge():
    clip = swinging()
    sides = [(x, 0.4, z) for x, z in ((0.02, 0.0), (-0.02, 0.0), (0.0, 0.02), (0.0, -0.02))]
    shape = np.array([(0.0, 0.0, 0.0), (0.0, 0.8, 0.0), *sides])
    pole = replace(
        clip,
        points=tuple(f"pole {n}" for n in range(6)),
        point_joint=np.full(6, clip.joint("sword")),
        point_offset=shape,
    )
    assert carried(pole).width == 0.0
    thin = replace(pole, point_offset=shape * [0.2, 1.0, 1.0])
    assert carried(thin).width == pytest.approx(0.04)
    assert carried(thin).edges[:, 2] == pytest.approx([-0.02, 0.02])


def test_without_points_it_is_as_long_as_its_joint():
    clip = swinging()
    bare = replace(clip, points=(), point_joint=None, point_offset=None)
    found = carried(bare)
    assert found.tip == pytest.approx([0.0, TIP, 0.0])
    assert found.base == pytest.approx([0.0, 0.0, 0.0])


def test_no_second_hand_is_on_a_sword_in_one():
    clip = swinging()
    basis = build_basis(clip, Settings())
    assert not second_hand_on(basis, carried(clip)).any()


def test_rods_are_as_far_apart_as_a_search_finds():
    """Against scipy's bounded minimiser over both rods' places, from several starts."""
    rng = np.random.default_rng(3)
    first, second = rng.normal(size=(2, 40, 2, 3))
    second[:5] = second[:5, :1]  # points
    second[5:10, 1] = second[5:10, 0] + (first[5:10, 1] - first[5:10, 0])  # side by side
    ways, places = between_rods(first, second)
    for n in range(40):

        def square(st, n=n):
            a = first[n, 0] + st[0] * (first[n, 1] - first[n, 0])
            b = second[n, 0] + st[1] * (second[n, 1] - second[n, 0])
            return np.sum((a - b) ** 2)

        starts = [(x, y) for x in (0.1, 0.9) for y in (0.1, 0.9)]
        best = min(minimize(square, at, bounds=[(0, 1), (0, 1)]).fun for at in starts)
        assert np.sum(ways[n] ** 2) == pytest.approx(best, abs=1e-6)
        assert square(places[n]) == pytest.approx(np.sum(ways[n] ** 2))
