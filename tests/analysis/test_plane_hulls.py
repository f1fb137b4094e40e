# SPDX-License-Identifier: GPL-3.0-or-later
"""Distance from the hull of what bears a figure; scipy's hull is the oracle."""

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from analysis.basis.plane_hulls import hull_gap, pooled


def oracle(points, of):
    """Signed distance from the hull of points (N,2): by its edges' planes inside, by segments
    outside."""
    hull = ConvexHull(points)
    beyond = float((hull.equations[:, :2] @ of + hull.equations[:, 2]).max())
    if beyond <= 0.0:
        return beyond
    around = points[hull.vertices]
    start, along = around, np.roll(around, -1, axis=0) - around
    share = np.clip(np.sum((of - start) * along, axis=1) / np.sum(along**2, axis=1), 0.0, 1.0)
    return float(np.linalg.norm(start + share[:, None] * along - of, axis=1).min())


def test_it_is_scipy_s_hull():
    rng = np.random.default_rng(7)
    points = rng.normal(size=(300, 9, 2)) * [0.3, 0.1]
    used = rng.random((300, 9)) < 0.7
    used[:, :3] = True
    of = rng.normal(size=(300, 2)) * [0.3, 0.1]
    found = hull_gap(points, used, of)
    wanted = [oracle(p[u], q) for p, u, q in zip(points, used, of, strict=True)]
    outside = np.array(wanted) > 0.0
    assert found.gap[outside] == pytest.approx(np.array(wanted)[outside], abs=1e-3)
    assert found.gap[~outside] == pytest.approx(np.array(wanted)[~outside], abs=15e-3)
    assert 40 < outside.sum() < 260


def test_a_frame_is_told_the_same_bits_whatever_frames_are_beside_it():
    rng = np.random.default_rng(3)
    points, of = rng.normal(size=(120, 40, 2)), rng.normal(size=(120, 2))
    used = rng.random((120, 40)) < rng.random((120, 1))
    every = hull_gap(points, used, of)
    for share in (0.01, 0.3, 0.9):
        rows = rng.random(120) < share
        some = hull_gap(points[rows], used[rows], of[rows])
        assert some.gap.tobytes() == every.gap[rows].tobytes()
        assert some.way.tobytes() == every.way[rows].tobytes()


def test_the_way_leads_back_to_the_hull():
    square = np.array([[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]])
    used = np.ones((1, 4), dtype=bool)
    for of, gap, way in (
        ([1.3, 0.5], 0.3, [1.0, 0.0]),
        ([0.5, -0.2], 0.2, [0.0, -1.0]),
        ([1.3, 1.4], 0.5, [0.6, 0.8]),
        ([0.9, 0.5], -0.1, [1.0, 0.0]),
    ):
        found = hull_gap(square, used, np.array([of]))
        assert found.gap[0] == pytest.approx(gap, abs=1e-3)
        assert found.way[0] == pytest.approx(way, abs=5e-3)


def test_one_point_a_line_and_nothing():
    points = np.array([[[0.0, 0.0], [1.0, 0.0]]]).repeat(3, axis=0)
    used = np.array([[True, False], [True, True], [False, False]])
    found = hull_gap(points, used, np.array([[0.0, 0.5], [0.5, 0.25], [0.0, 0.0]]))
    assert found.gap[:2] == pytest.approx([0.5, 0.25], abs=1e-3)
    assert found.gap[2] == np.inf
    assert not found.way[2].any()
    none = hull_gap(np.zeros((2, 0, 2)), np.zeros((2, 0), dtype=bool), np.zeros((2, 2)))
    assert np.isinf(none.gap).all()


def test_contacts_of_the_frames_around_are_pooled():
    points = np.arange(5.0)[:, None, None] * np.ones((1, 2, 3))
    used = np.zeros((5, 2), dtype=bool)
    used[2, 0] = True
    places, known = pooled(points, used, 1)
    assert known.sum(axis=1).tolist() == [0, 1, 1, 1, 0]
    assert (places[known] == 2.0).all()
    assert known.shape[1] == 3  # the point that never touches is left out


def test_a_clip_s_ends_are_not_pooled_twice():
    used = np.ones((3, 1), dtype=bool)
    _places, known = pooled(np.zeros((3, 1, 2)), used, 1)
    assert known.sum(axis=1).tolist() == [2, 3, 2]
