# SPDX-License-Identifier: GPL-3.0-or-later
"""Turned upright and back is the identity; what went to the side goes up."""

import numpy as np
import pytest

from analysis.ball.turned import turned, way_ahead

FRAMES = np.arange(5.0, 65.0)
AHEAD = np.array([0.6, -0.8, 0.0])
LEFT = np.array([0.8, 0.6, 0.0])
UP = np.array([0.0, 0.0, 1.0])


def swaying(sway=0.1, surge=0.02):
    """A walk along AHEAD that sways, surges and bobs, far from the origin."""
    t = (FRAMES - FRAMES[0])[:, None]
    way = 0.03 * t + surge * np.sin(0.5 * t)
    return (
        np.array([12.0, -7.0, 1.0])
        + way * AHEAD
        + sway * np.sin(0.25 * t) * LEFT
        + 0.03 * np.sin(0.5 * t) * UP
    )


@pytest.mark.parametrize("axis", ["side", "ahead"])
@pytest.mark.parametrize("scale", [0.01, 1.0, 100.0])
def test_turned_and_back_is_the_identity(axis, scale):
    path = scale * swaying()
    how = turned(FRAMES, path, axis=axis, ahead=AHEAD, beside_m=2.5 * scale)
    assert np.abs(how.back(FRAMES, how.to(FRAMES, path)) - path).max() < 1e-9 * max(scale, 1.0)
    assert how.rotation @ how.rotation.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(how.rotation) == pytest.approx(1.0)


def test_what_goes_to_the_left_goes_up_and_the_way_ahead_stays():
    path = swaying()
    up = turned(FRAMES, path, axis="side", ahead=AHEAD, beside_m=2.5).to(FRAMES, path)
    side = (path - path.mean(axis=0)) @ LEFT
    assert up[:, 2] == pytest.approx(path[:, 2].mean() + 2.5 + side)
    assert up @ AHEAD == pytest.approx(path @ AHEAD)
    assert (up - up.mean(axis=0)) @ LEFT == pytest.approx(-(path[:, 2] - path[:, 2].mean()))


def test_ahead_of_the_mean_travel_goes_up_and_the_travel_stays():
    path = swaying(surge=0.05)
    how = turned(FRAMES, path, axis="ahead", ahead=AHEAD, beside_m=2.5)
    up = how.to(FRAMES, path)
    gone = path @ AHEAD
    mean = np.linspace(gone[0], gone[-1], len(FRAMES))
    assert up[:, 2] - up[:, 2].mean() == pytest.approx(gone - mean - (gone - mean).mean())
    # The way ahead is even but for what went up and down.
    assert np.ptp(up @ AHEAD - mean) == pytest.approx(np.ptp(path[:, 2]))
    assert how.drift == pytest.approx((gone[-1] - gone[0]) / (FRAMES[-1] - FRAMES[0]) * AHEAD)


def test_it_lies_over_the_path_and_nowhere_on_it():
    path = swaying()
    for axis in ("side", "ahead"):
        up = turned(FRAMES, path, axis=axis, ahead=AHEAD, beside_m=1.0).to(FRAMES, path)
        assert up[:, 2].min() > path[:, 2].max()


def test_the_way_ahead_is_that_of_the_path_else_where_the_figure_faces():
    path, facing = swaying(), np.array([0.0, 3.0, 1.0])
    assert way_ahead(path, facing, 1.7) == pytest.approx(AHEAD, abs=0.05)
    assert way_ahead(path, facing, 10.0) == pytest.approx([0.0, 1.0, 0.0])
    assert way_ahead(path[:1], np.zeros(3), 1.7) == pytest.approx([0.0, -1.0, 0.0])
