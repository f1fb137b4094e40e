# SPDX-License-Identifier: GPL-3.0-or-later
"""Unit quaternions w, x, y, z as arrays (..., 4), as far as the demo scenes need them.

Kept apart from the analysis package on purpose: what a scene was built with must not come
from the code that the scene is there to test.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def multiply(a: Floats, b: Floats) -> Floats:
    """The product a b (..., 4): turn by b, then by a."""
    a_w, a_v, b_w, b_v = a[..., :1], a[..., 1:], b[..., :1], b[..., 1:]
    w = a_w * b_w - np.sum(a_v * b_v, axis=-1, keepdims=True)
    return np.concatenate((w, a_w * b_v + b_w * a_v + np.cross(a_v, b_v)), axis=-1)


def conjugate(q: Floats) -> Floats:
    """The inverse of unit quaternions (..., 4)."""
    return q * np.array([1.0, -1.0, -1.0, -1.0])


def normalise(q: Floats) -> Floats:
    """Quaternions (..., 4) scaled to unit length."""
    return q / np.linalg.norm(q, axis=-1, keepdims=True)


def rotate(q: Floats, v: Floats) -> Floats:
    """Vectors (..., 3) turned by unit quaternions (..., 4)."""
    twice = 2.0 * np.cross(q[..., 1:], v)
    return v + q[..., :1] * twice + np.cross(q[..., 1:], twice)


def about(axis: Floats, angle_rad: Floats) -> Floats:
    """Quaternions (..., 4) that turn by angles (...) in radians about one unit axis (3,)."""
    half = 0.5 * np.asarray(angle_rad)[..., None]
    return np.concatenate((np.cos(half), np.sin(half) * axis), axis=-1)


def between(a: Floats, b: Floats) -> Floats:
    """The shortest turn (4,) that takes unit vector a (3,) to unit vector b (3,)."""
    half = a + b
    if np.linalg.norm(half) < 1e-9:  # opposite: any axis square to a will do
        spare = np.eye(3)[np.argmin(np.abs(a))]
        axis = np.cross(a, spare)
        return about(axis / np.linalg.norm(axis), np.asarray(np.pi))
    half = half / np.linalg.norm(half)
    return np.concatenate(([a @ half], np.cross(a, half)))


def slerp(a: Floats, b: Floats, share: float) -> Floats:
    """Unit quaternions (..., 4) the given share (0 to 1) of the way from a to b, the short way."""
    b = np.where(np.sum(a * b, axis=-1, keepdims=True) < 0.0, -b, b)
    angle = np.arccos(np.clip(np.sum(a * b, axis=-1, keepdims=True), -1.0, 1.0))
    if share in (0.0, 1.0):
        return a if share == 0.0 else b
    # Nearly equal ends make sin(angle) vanish: a straight blend is exact enough there.
    tiny = angle < 1e-6
    scale = np.where(tiny, 1.0, np.sin(angle))
    start = np.where(tiny, 1.0 - share, np.sin((1.0 - share) * angle) / scale)
    end = np.where(tiny, share, np.sin(share * angle) / scale)
    return normalise(start * a + end * b)


def continuous(q: Floats) -> Floats:
    """The same rotations (T, ..., 4) with signs chosen so that neighbours in time agree."""
    flips = np.where(np.sum(q[1:] * q[:-1], axis=-1) < 0.0, -1.0, 1.0)
    signs = np.concatenate((np.ones((1, *q.shape[1:-1])), np.cumprod(flips, axis=0)))
    return q * signs[..., None]


def from_matrix(m: Floats) -> Floats:
    """Unit quaternions (..., 4) of rotation matrices (..., 3, 3)."""
    xx, yy, zz = m[..., 0, 0], m[..., 1, 1], m[..., 2, 2]
    # Absolute values from the diagonal, signs from the other entries (w is kept positive);
    # the largest component settles the signs where w is near zero.
    squares = np.stack((1 + xx + yy + zz, 1 + xx - yy - zz, 1 - xx + yy - zz, 1 - xx - yy + zz), -1)
    products = _products(m)
    best = np.argmax(squares, axis=-1)[..., None, None]
    return normalise(np.take_along_axis(products, best, axis=-2)[..., 0, :])


def _products(m: Floats) -> Floats:
    """(..., 4, 4) the outer product 4 q q^T, of which each row is a multiple of q."""
    outer = np.zeros((*m.shape[:-2], 4, 4))
    signs = np.array([[1, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]])
    diagonal = np.stack([m[..., i, i] for i in range(3)], axis=-1)
    for row in range(4):
        outer[..., row, row] = 1.0 + diagonal @ signs[row]
    for row, (i, j) in enumerate(((2, 1), (0, 2), (1, 0)), start=1):
        outer[..., 0, row] = outer[..., row, 0] = m[..., i, j] - m[..., j, i]
    for i, j in ((0, 1), (0, 2), (1, 2)):
        outer[..., i + 1, j + 1] = outer[..., j + 1, i + 1] = m[..., i, j] + m[..., j, i]
    return outer
