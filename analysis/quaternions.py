# SPDX-License-Identifier: GPL-3.0-or-later
"""Unit quaternions w, x, y, z as arrays of shape (..., 4); all functions broadcast.

Convention: a rotation takes a vector from the joint's axes to the world's, as in
`world = rotate(q, local)`; products apply the right-hand factor first.
"""

from typing import cast

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def normalise(q: Array) -> Array:
    """Scale to unit length; zero quaternions become the identity."""
    # As np.linalg.norm has it, which takes twice as long for few.
    length = np.sqrt(np.add.reduce(q * q, axis=-1, keepdims=True))
    there = length > 0.0
    if there.all():
        return cast(Array, q / length)
    identity = np.zeros_like(q)
    identity[..., 0] = 1.0
    scaled = q / np.where(there, length, 1.0)
    return cast(Array, np.where(there, scaled, identity))


def conjugate(q: Array) -> Array:
    """The inverse rotation of a unit quaternion."""
    return cast(Array, q * np.array([1.0, -1.0, -1.0, -1.0]))


def multiply(a: Array, b: Array) -> Array:
    """The Hamilton product a b: rotate by b, then by a."""
    aw, ax, ay, az = a[..., 0], a[..., 1], a[..., 2], a[..., 3]
    bw, bx, by, bz = b[..., 0], b[..., 1], b[..., 2], b[..., 3]
    parts = (
        aw * bw - ax * bx - ay * by - az * bz,
        aw * bx + ax * bw + ay * bz - az * by,
        aw * by - ax * bz + ay * bw + az * bx,
        aw * bz + ax * by - ay * bx + az * bw,
    )
    # What np.stack does; that one takes longer for few.
    return np.concatenate([part[..., None] for part in parts], axis=-1)


def rotate(q: Array, v: Array) -> Array:
    """Turn vectors (..., 3) by unit quaternions (..., 4)."""
    axis = q[..., 1:]
    twice = 2.0 * _cross(axis, v)
    return cast(Array, v + q[..., :1] * twice + _cross(axis, twice))


def _cross(a: Array, b: Array) -> Array:
    """`np.cross` of vectors of three, bit for bit; that one takes three times as long for few."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    x = ay * bz - az * by
    found = np.zeros((*x.shape, 3), x.dtype)
    found[..., 0] = x
    found[..., 1] = az * bx - ax * bz
    found[..., 2] = ax * by - ay * bx
    return found


def continuous(q: Array) -> Array:
    """Choose signs along the first axis so that neighbours lie in one hemisphere.

    q and -q are the same rotation; a filter needs the series without such jumps.
    """
    if len(q) < 2:
        return q
    flips = np.sign(np.sum(q[1:] * q[:-1], axis=-1))
    flips[flips == 0.0] = 1.0
    signs = np.concatenate((np.ones((1, *flips.shape[1:])), np.cumprod(flips, axis=0)))
    return cast(Array, q * signs[..., None])


def from_axes(x: Array, y: Array, z: Array) -> Array:
    """The quaternion whose joint axes, in the world, are the unit vectors x, y, z.

    The three must be orthonormal and right-handed. Chooses the largest component first
    (Shepperd 1978, J. Guidance and Control 1:223), which is stable for all rotations.
    """
    m = np.stack((x, y, z), axis=-1)
    xx, yy, zz = m[..., 0, 0], m[..., 1, 1], m[..., 2, 2]
    squares = np.stack((1 + xx + yy + zz, 1 + xx - yy - zz, 1 - xx + yy - zz, 1 - xx - yy + zz), -1)
    wx, wy, wz = (
        m[..., 2, 1] - m[..., 1, 2],
        m[..., 0, 2] - m[..., 2, 0],
        m[..., 1, 0] - m[..., 0, 1],
    )
    xy, xz, yz = (
        m[..., 0, 1] + m[..., 1, 0],
        m[..., 0, 2] + m[..., 2, 0],
        m[..., 1, 2] + m[..., 2, 1],
    )
    rows = np.stack(
        (
            np.stack((squares[..., 0], wx, wy, wz), -1),
            np.stack((wx, squares[..., 1], xy, xz), -1),
            np.stack((wy, xy, squares[..., 2], yz), -1),
            np.stack((wz, xz, yz, squares[..., 3]), -1),
        ),
        -2,
    )
    best = np.argmax(squares, axis=-1)
    chosen = np.take_along_axis(rows, best[..., None, None], axis=-2)[..., 0, :]
    return normalise(chosen)


def to_matrices(q: Array) -> Array:
    """(...,3,3) turns of unit quaternions (...,4)."""
    columns = [rotate(q, np.broadcast_to(axis, (*q.shape[:-1], 3))) for axis in np.eye(3)]
    return np.stack(columns, axis=-1)


def from_matrices(m: Array) -> Array:
    """Rotations of 3x3 or 4x4 matrices (..., n, n), scale and shear left out.

    The Y axis is kept as it is (it lies along the bone), X is made square to it, and a
    mirrored matrix is turned into the rotation with the same Y and X. Axes without
    length (a bone scaled to nothing) give the identity.
    """
    y = m[..., :3, 1]
    y_length = np.linalg.norm(y, axis=-1, keepdims=True)
    y = y / np.where(y_length > 0.0, y_length, 1.0)
    x = m[..., :3, 0]
    x = x - np.sum(x * y, axis=-1, keepdims=True) * y
    x_length = np.linalg.norm(x, axis=-1, keepdims=True)
    x = x / np.where(x_length > 0.0, x_length, 1.0)
    q = from_axes(x, y, np.cross(x, y))
    usable = (y_length[..., 0] > 0.0) & (x_length[..., 0] > 0.0)
    identity = np.zeros_like(q)
    identity[..., 0] = 1.0
    return np.where(usable[..., None], q, identity)
