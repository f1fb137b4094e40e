# SPDX-License-Identifier: GPL-3.0-or-later
"""Rotations against scipy.spatial.transform.Rotation, a general-purpose library."""

import numpy as np
from scipy.spatial.transform import Rotation

from analysis import quaternions as quat

RNG = np.random.default_rng(7)
A, B = Rotation.random(500, rng=RNG), Rotation.random(500, rng=RNG)


def wxyz(rotation):
    return np.roll(rotation.as_quat(), 1, axis=-1)


def assert_same_rotation(q, expected):
    np.testing.assert_allclose(np.abs(np.sum(q * wxyz(expected), axis=-1)), 1.0, atol=1e-12)


def test_products_vectors_and_matrices():
    vectors = RNG.normal(size=(500, 3))
    assert_same_rotation(quat.multiply(wxyz(A), wxyz(B)), A * B)
    assert_same_rotation(quat.conjugate(wxyz(A)), A.inv())
    np.testing.assert_allclose(quat.rotate(wxyz(A), vectors), A.apply(vectors), atol=1e-12)
    assert_same_rotation(quat.from_matrices(A.as_matrix()), A)


def test_vectors_are_turned_by_the_very_products_of_numpy():
    q, vectors = wxyz(A)[:, None], RNG.normal(size=(500, 3, 3))
    twice = 2.0 * np.cross(q[..., 1:], vectors)
    expected = vectors + q[..., :1] * twice + np.cross(q[..., 1:], twice)
    np.testing.assert_array_equal(quat.rotate(q, vectors), expected)


def test_lengths_are_the_very_ones_of_numpy():
    q = np.random.default_rng(4).normal(size=(50, 7, 4))
    q[3, 2] = 0.0
    length = np.linalg.norm(q, axis=-1, keepdims=True)
    expected = np.where(length > 0.0, q / np.where(length > 0.0, length, 1.0), [1.0, 0.0, 0.0, 0.0])
    assert np.array_equal(quat.normalise(q), expected)
    assert np.array_equal(quat.normalise(q[4:]), expected[4:])


def test_half_turns_survive_the_way_through_matrices():
    for axis in np.eye(3):
        half = Rotation.from_rotvec(np.pi * axis)
        assert_same_rotation(quat.from_matrices(half.as_matrix()), half)


def test_scale_is_left_out_and_y_is_kept():
    scaled = A.as_matrix() * np.array([2.0, 0.5, 3.0])
    assert_same_rotation(quat.from_matrices(scaled), A)
    sheared = A.as_matrix() @ np.array([[1, 0, 0], [0.4, 1, 0.2], [0, 0, 1.0]])
    y = quat.rotate(quat.from_matrices(sheared), np.tile([0.0, 1, 0], (500, 1)))
    np.testing.assert_allclose(
        y, sheared[:, :, 1] / np.linalg.norm(sheared[:, :, 1], axis=1)[:, None]
    )


def test_a_mirrored_and_a_flat_matrix_still_give_a_rotation():
    mirrored = A.as_matrix() * np.array([1.0, 1.0, -1.0])
    assert_same_rotation(quat.from_matrices(mirrored), A)
    np.testing.assert_array_equal(quat.from_matrices(np.zeros((4, 4))), [1, 0, 0, 0])


def test_signs_become_continuous_without_changing_the_rotation():
    turning = wxyz(Rotation.from_rotvec(np.linspace(0, 9, 100)[:, None] * [0, 0, 1.0]))
    flipped = turning * RNG.choice([-1.0, 1.0], size=(100, 1))
    smooth = quat.continuous(flipped)
    assert (np.sum(smooth[1:] * smooth[:-1], axis=-1) > 0).all()
    np.testing.assert_allclose(np.abs(smooth), np.abs(turning))


def test_zero_quaternions_become_the_identity():
    np.testing.assert_array_equal(quat.normalise(np.zeros(4)), [1, 0, 0, 0])
