# SPDX-License-Identifier: GPL-3.0-or-later
"""Which points of a figure touch what, and which of them may pull."""

from dataclasses import replace

import numpy as np
import pytest
from test_hands_on_supports import standing
from test_no_figure import prop
from walker import box, hop, with_supports

from analysis import Settings
from analysis.basis import build_basis
from analysis.touch import _from_box

ASK = Settings(cycle="no")


def touching_parts(basis, at):
    touch = basis.touch_points
    return {basis.bodies[n].part for n in touch.body[touch.touches[at]]}


def test_who_stands_touches_with_feet_alone():
    basis = build_basis(standing(24.0, 48), ASK)
    assert touching_parts(basis, 20) == {"foot.L", "foot.R"}
    touch = basis.touch_points
    assert not touch.holds.any()
    assert touch.place.shape == (*touch.touches.shape, 3)


@pytest.mark.parametrize("scale", [1.0, 10.0])
def test_nothing_touches_in_the_air(scale):
    basis = build_basis(hop(scale=scale), ASK)
    (flight,) = basis.flights
    middle = (flight.first + flight.last) // 2
    assert touching_parts(basis, middle) == set()
    assert touching_parts(basis, 2)


def test_a_hand_on_a_wall_may_pull_and_a_foot_on_a_crate_only_presses():
    count = 48
    clip = standing(24.0, count)
    hand = clip.positions[0, clip.joint("hand.L")]
    wall = box(hand + [0.01, -0.3, -0.3], hand + [0.2, 0.3, 0.3], count)
    crate = box([-0.5, -0.6, -0.3], [0.5, 0.6, 0.0], count)
    held = with_supports(clip, wall, crate)
    held = replace(held, meta=replace(held.meta, floor_z=-0.3))
    basis = build_basis(held, ASK)
    touch = basis.touch_points
    pulls = {basis.bodies[n].part for n in touch.body[touch.holds[20]]}
    assert "hand.L" in pulls
    assert not pulls & {"foot.L", "foot.R", "hand.R"}
    assert touching_parts(basis, 20) >= {"hand.L", "foot.L", "foot.R"}
    assert set(touch.which[20][touch.sole]) == {1}


def test_a_thing_without_parts_has_no_points():
    basis = build_basis(prop(), ASK)
    assert basis.touch_points.touches.shape == (len(basis.frames), 0)


def test_a_flat_box_is_as_far_as_its_plane_and_one_that_is_scaled_away_is_nowhere():
    plane, nothing = np.diag([2.0, 2.0, 0.0, 1.0]), np.diag([0.0, 0.0, 0.0, 1.0])
    points = np.array([[0.3, 0.2, 0.7], [4.0, 0.0, -4.0]])
    away = _from_box(np.array([plane, nothing]), np.array([points, points]))
    np.testing.assert_allclose(away[0], [0.7, 5.0], atol=1e-12)
    assert np.isinf(away[1]).all()
