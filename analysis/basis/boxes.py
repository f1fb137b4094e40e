# SPDX-License-Identifier: GPL-3.0-or-later
"""Boxes that bear weight: their upper faces, and how they carry what stands on them.

A box (T,4,4) takes the cube from -0.5 to 0.5 to its place on each sample. It may be flat (a
plane), mirrored, tilted, or scaled away to nothing; then it bears nothing.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

# A face that shows less of its area than this when it is seen from above bears nothing.
LEAST_SEEN = 1e-3


def over_top(box: Floats, points: Floats) -> tuple[Floats, Floats]:
    """How far points (T,N,3) are outside a box's upper face, and how high that face is there.

    Returns (T,N,2) metres beyond the face's edges along its two sides, negative inside and
    infinite where the box has no upper face; and (T,N) heights of its plane.
    """
    middle, sides = _upper_face(box)
    first, since = _stays(box)
    lengths = np.linalg.norm(sides[first], axis=1)
    seen = np.abs(np.linalg.det(sides[first, :2]))
    bears = ((lengths > 0.0).all(axis=1) & (seen > LEAST_SEEN * lengths.prod(axis=1)))[since]
    lengths = lengths[since]
    plan = np.where(bears[:, None, None], sides[:, :2], np.eye(2))
    gap = points - middle[:, None]
    share = np.linalg.solve(plan[:, None], gap[..., :2, None])[..., 0]
    height = middle[:, None, 2] + np.sum(share * sides[:, None, 2], axis=-1)
    beyond = (np.abs(share) - 0.5) * lengths[:, None]
    return np.where(bears[:, None, None], beyond, np.inf), height


def top_lengths(box: Floats) -> Floats:
    """(T,2) metres of the two sides of a box's upper face, in the order of `over_top`."""
    return np.asarray(np.linalg.norm(_upper_face(box)[1], axis=1))


def carried_by(box: Floats, points: Floats) -> Floats:
    """Points (T-1,N,3) as a box (T,4,4) carries them to the next sample."""
    origin, (first, since) = box[:, None, :3, 3], _stays(box)
    axes = _axes(box[first])
    move = axes[since[1:]] @ np.linalg.pinv(axes)[since[:-1]]
    return np.asarray(np.einsum("tij,tnj->tni", move, points - origin[:-1]) + origin[1:])


def _upper_face(box: Floats) -> tuple[Floats, Floats]:
    """Middle (T,3) of the face that looks up most on each sample, and (T,3,2) its two sides."""
    first, since = _stays(box)
    still = box[first]
    rows, axes = np.arange(len(still)), _axes(still)
    length = np.linalg.norm(axes, axis=1)
    up = axes[:, 2] / np.where(length > 0.0, length, 1.0)
    most = np.argmax(np.abs(up), axis=1)
    sign = np.where(up[rows, most] > 0.0, 0.5, -0.5)
    away = sign[:, None] * still[rows, :3, most]
    others = np.array([[1, 2], [0, 2], [0, 1]])[most]
    sides = np.take_along_axis(still[:, :3, :3], others[:, None], axis=2)
    return box[:, :3, 3] + away[since], sides[since]


def _stays(box: Floats) -> tuple[Ints, Ints]:
    """Most boxes keep their sides for long: the samples (K,) from which they do, and (T,) which of
    these stretches each sample is in."""
    sides = box[:, :3, :3].reshape(len(box), 9).T.copy()
    new = np.ones(len(box), dtype=bool)
    new[1:] = np.any(sides[:, 1:] != sides[:, :-1], axis=0)
    return np.flatnonzero(new), np.cumsum(new) - 1


def _axes(box: Floats) -> Floats:
    """(T,3,3) a box's three sides as columns; in place of one that has no length, a unit
    vector square to the others: a plane has an upper face too, and carries what is above it."""
    sides = np.array(box[:, :3, :3])
    length = np.linalg.norm(sides, axis=1)
    for n in range(3):
        square = np.cross(sides[:, :, (n + 1) % 3], sides[:, :, (n + 2) % 3])
        size = np.linalg.norm(square, axis=1, keepdims=True)
        square = square / np.where(size > 0.0, size, 1.0)
        sides[:, :, n] = np.where(length[:, [n]] > 0.0, sides[:, :, n], square)
    return sides


@dataclass(frozen=True, eq=False)
class Within:
    """Points as a box sees them, metres along its sides.

    sides (T,3,3)    unit vectors along the box's sides, as columns
    half (T,3)       half of the box's length along each
    place (T,N,3)    points from the box's middle
    gap (T,N)        distance from the box's nearest face, negative inside; infinite for a box
                     that is scaled away to a line or to nothing
    """

    sides: Floats
    half: Floats
    place: Floats
    gap: Floats

    @property
    def beyond(self) -> Floats:
        """(T,N,3) how far points are beyond the faces across each side, negative inside."""
        return np.asarray(np.abs(self.place) - self.half[:, None])


def within(box: Floats, points: Floats) -> Within:
    """Points (T,N,3) as a box (T,4,4) sees them."""
    first, since = _stays(box)
    axes, length = _axes(box[first]), np.linalg.norm(box[first, :3, :3], axis=1)
    sides = axes / np.maximum(np.linalg.norm(axes, axis=1, keepdims=True), 1e-12)
    square = np.abs(np.linalg.det(sides)) > LEAST_SEEN
    whole = square & ((length > 0.0).sum(axis=1) >= 2)
    back = np.linalg.inv(np.where(whole[:, None, None], sides, np.eye(3)))[since]
    sides, length, whole = sides[since], length[since], whole[since]
    place = np.einsum("tij,tnj->tni", back, points - box[:, None, :3, 3])
    far = np.abs(place) - 0.5 * length[:, None]
    gap = np.linalg.norm(np.maximum(far, 0.0), axis=-1) + np.minimum(far.max(axis=-1), 0.0)
    return Within(sides, 0.5 * length, place, np.where(whole[:, None], gap, np.inf))
