# SPDX-License-Identifier: GPL-3.0-or-later
"""Boxes that bear weight: flat, tilted, rolling, moving, gone."""

import numpy as np
import pytest
from walker import box, walk, with_supports

from analysis import Settings
from analysis.basis import build_basis
from analysis.basis.boxes import carried_by, over_top, within
from analysis.basis.ground import FLOOR


def basis(clip):
    return build_basis(clip, Settings(cycle="no"))


def test_surface_of_turned_tilted_and_stretched_boxes():
    """Against planes worked out by hand: a box 2 x 1 x .5 m, tilted by 30 degrees about Y."""
    clip = walk()
    count = len(clip.frames)
    angle = np.radians(30.0)
    turn = np.array(
        [[np.cos(angle), 0, np.sin(angle)], [0, 1, 0], [-np.sin(angle), 0, np.cos(angle)]]
    )
    matrix = np.eye(4)
    matrix[:3, :3] = turn @ np.diag([2.0, 1.0, 0.5])
    matrix[:3, 3] = [5.0, 0.0, 1.0]
    ground = basis(with_supports(clip, np.tile(matrix, (count, 1, 1)))).ground
    middle = np.array([5.0, 0.0, 1.0]) + 0.25 * turn[:, 2]
    for along in (-0.9, 0.0, 0.9):
        point = middle + along * turn[:, 0] + [0.0, 0.3, 0.0]
        heights, which = ground.surface(np.tile(point + [0, 0, 0.05], (count, 1, 1)))
        assert heights == pytest.approx(np.full((count, 1), point[2]))
        assert np.all(which == 0)
    beside = middle + [0.0, 0.6, 0.0]
    assert np.all(ground.surface(np.tile(beside, (count, 1, 1)))[1] == FLOOR)
    under = middle - [0.0, 0.0, 0.4]
    assert np.all(ground.surface(np.tile(under, (count, 1, 1)))[1] == FLOOR)


def test_steps_on_a_moving_box_are_what_is_left_without_its_motion():
    clip = walk()
    count = len(clip.frames)
    boxes = box((-1, -1, 0), (1, 1, 0.3), count)
    way = np.outer(np.arange(count), [0.02, -0.01, 0.0])
    boxes[:, :3, 3] += way
    ground = basis(with_supports(clip, boxes)).ground
    own = np.outer(np.arange(count), [0.0, 0.003, 0.0])
    points = (np.array([0.1, 0.2, 0.3]) + way + own)[:, None]
    which = ground.surface(points)[1]
    assert np.all(which == 0)
    assert ground.steps(points, which)[:, 0] == pytest.approx(np.diff(own, axis=0))


@pytest.mark.parametrize("height", [0.0, 5.0])
def test_a_plane_without_a_height_bears_what_is_over_it(height):
    """A flat object gives a flat box: it ends at its edges, and carries what is just above it."""
    clip = walk()
    count = len(clip.frames)
    plane = box((-0.5, -1.0, height), (0.5, 1.0, height), count)
    ground = basis(with_supports(clip, plane)).ground
    points = np.tile([[0.0, 0.0, height + 0.02], [3.0, 0.0, height + 0.02]], (count, 1, 1))
    heights, which = ground.surface(points)
    assert np.all(which == [0, FLOOR])
    assert heights[:, 0] == pytest.approx(np.full(count, height))
    assert ground.steps(points, which) == pytest.approx(np.zeros((count - 1, 2, 3)))


def test_the_upper_face_is_found_anew_on_each_sample():
    """A cube that rolls over by a quarter turn has another face up, as high as the first."""
    clip = walk()
    count = len(clip.frames)
    angle = np.linspace(0.0, np.pi / 2, count)
    cube = np.tile(np.eye(4), (count, 1, 1))
    cube[:, 1, 1], cube[:, 1, 2] = np.cos(angle), -np.sin(angle)
    cube[:, 2, 1], cube[:, 2, 2] = np.sin(angle), np.cos(angle)
    cube[:, :3, 3] = [5.0, 0.0, 0.5]
    ground = basis(with_supports(clip, cube)).ground
    heights, which = ground.surface(np.tile([5.0, 0.0, 1.0], (count, 1, 1)))
    assert which[[0, -1], 0].tolist() == [0, 0]
    assert heights[[0, -1], 0] == pytest.approx([1.0, 1.0])


@pytest.mark.parametrize("gone", [(0, 1, 2), (0, 2), (0, 1)])
def test_a_box_that_is_scaled_away_bears_nothing(gone):
    clip = walk()
    flat = box((-5.0, -5.0, -0.5), (5.0, 5.0, 0.3), len(clip.frames))
    flat[:, :3, list(gone)] = 0.0
    seen = basis(with_supports(clip, flat))
    assert {plant.box for plant in seen.plants} == {FLOOR}
    assert len(seen.plants) == len(basis(clip).plants)


def test_a_box_that_stands_now_and_then_answers_as_on_each_sample_alone():
    """It stands, turns, stands, is scaled away, and goes on: what it tells of points does not
    depend on what it did before."""
    rng = np.random.default_rng(2)
    angle = np.repeat([0.0, 0.4, 0.9, 0.9], 5)
    boxes = np.tile(np.eye(4), (20, 1, 1))
    boxes[:, 0, 0] = boxes[:, 1, 1] = np.cos(angle)
    boxes[:, 1, 0], boxes[:, 0, 1] = np.sin(angle), -np.sin(angle)
    boxes[10:12, :3, :3] = 0.0
    boxes[:, :3, 3] = rng.normal(size=(20, 3))
    points = rng.normal(size=(20, 3, 3))
    tops, seen = over_top(boxes, points), within(boxes, points)
    carried = carried_by(boxes, points[:-1])
    for n in range(20):
        one = slice(n, n + 1)
        for together, alone in zip(tops, over_top(boxes[one], points[one]), strict=True):
            assert np.array_equal(together[one], alone)
        alone = within(boxes[one], points[one])
        assert np.array_equal(seen.gap[one], alone.gap)
        assert np.array_equal(seen.place[one], alone.place)
        if n < 19:
            assert np.allclose(carried[n], carried_by(boxes[n : n + 2], points[one])[0])
