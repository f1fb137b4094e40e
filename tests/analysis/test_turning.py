# SPDX-License-Identifier: GPL-3.0-or-later
"""Turns from sample to sample, against scipy's rotations."""

import numpy as np
from scipy.spatial.transform import Rotation

from analysis import quaternions as quat
from analysis.turning import against, turn_steps


def tumbling(count, seed):
    """(T,4) orientations that turn by up to some tens of degrees a sample, signs continuous."""
    steps = Rotation.from_rotvec(np.random.default_rng(seed).normal(size=(count, 3)) * 0.3)
    turned = [Rotation.identity()]
    for step in steps[1:]:
        turned.append(step * turned[-1])
    return quat.continuous(np.array([np.roll(turn.as_quat(), 1) for turn in turned]))


def of_scipy(rotations):
    return Rotation.from_quat(np.roll(rotations, -1, axis=-1))


def test_steps_are_scipy_s_rotation_vectors():
    path = tumbling(40, 1)
    turn = of_scipy(path[1:]) * of_scipy(path[:-1]).inv()
    np.testing.assert_allclose(turn_steps(path), np.degrees(turn.as_rotvec()), atol=1e-9)


def test_steps_of_many_bodies_are_those_of_each():
    paths = np.stack((tumbling(20, 1), tumbling(20, 2)), axis=1)
    steps = turn_steps(paths)
    assert steps.shape == (19, 2, 3)
    np.testing.assert_array_equal(steps[:, 1], turn_steps(paths[:, 1]))


def test_the_sign_of_a_quaternion_does_not_count_nor_does_standing_still():
    path = tumbling(20, 3)
    flipped = path * np.where(np.arange(20) % 3 == 0, -1.0, 1.0)[:, None]
    np.testing.assert_allclose(turn_steps(flipped), turn_steps(path), atol=1e-9)
    assert not turn_steps(np.tile(path[:1], (5, 1))).any()


def test_against_another_body_what_both_turn_alike_is_gone():
    frame, own = tumbling(30, 4), tumbling(30, 5)
    carried = quat.multiply(frame, own)
    np.testing.assert_allclose(turn_steps(against(carried, frame)), turn_steps(own), atol=1e-9)
    both = np.stack((carried, frame), axis=1)
    apart = against(both, frame)
    expected = (of_scipy(frame).inv() * of_scipy(carried)).magnitude()
    np.testing.assert_allclose(of_scipy(apart[:, 0]).magnitude(), expected, atol=1e-9)
    np.testing.assert_allclose(of_scipy(apart[:, 1]).magnitude(), 0.0, atol=1e-6)
