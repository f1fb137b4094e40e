# SPDX-License-Identifier: GPL-3.0-or-later
"""How far a point lies outside of what bears a figure, seen from above: frame by frame, the
distance from the convex hull of a frame's points.

The signed distance from a convex hull is the largest, over all directions, of how far the point
lies beyond the furthest of the hull's points (its support function); directions are searched from
coarse to fine, for all frames at once.
"""

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..memory import Memory
from ..row_memory import by_rows

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Directions all around (5 degrees apart), and how many finer ones are tried about the best, so many
# times: the last lie .15 degrees apart. Outside that tells the distance to .1 % of a hull's width;
# inside, where another edge may lie nearer by less than the coarse ones tell, to some 2 % of it.
AROUND, FINER, TIMES = 72, 5, 5
POOLED = 5
# Few directions are tried for so many coordinates at once.
AT_ONCE = 200_000
# Frames are taken together by how many points they use.
GROUPS = (8, 24, 48, 96)


@dataclass(frozen=True, eq=False)
class HullGap:
    """gap (T,)    metres from the hull, negative inside; infinite where nothing bears
    way (T,2)   unit vector from the hull's nearest place towards the point
    """

    gap: Floats
    way: Floats


def hull_gap(
    points: Floats,
    used: Bools,
    of: Floats,
    memory: Memory | None = None,
    name: str = "",
    wanted: Bools | None = None,
) -> HullGap:
    """How far points `of` (T,2) are outside the hull of each frame's used points.

    points (T,N,2), used (T,N). A hull may be a line or a single point. Where only some frames are
    wanted (T,), it is told of these alone, W of them. A memory knows it under this name.
    """
    return HullGap(*by_rows(memory, name, _gaps, (points, used, of), wanted))


def _gaps(points: Floats, used: Bools, of: Floats) -> tuple[Floats, Floats]:
    gap, way = np.full(len(of), np.inf), np.zeros((len(of), 2))
    counts = used.sum(axis=1)
    # Frames with few points have no need to go through as many as those with most.
    for least, most in itertools.pairwise((0, *GROUPS, used.shape[1])):
        rows = np.flatnonzero((counts > least) & (counts <= most))
        if len(rows):
            kept = np.argsort(~used[rows], axis=1, kind="stable")[:, : counts[rows].max()]
            at = rows[:, None]
            gap[rows], way[rows] = _gap(points[at, kept], used[at, kept], of[rows])
    return gap, way


def _gap(points: Floats, used: Bools, of: Floats) -> tuple[Floats, Floats]:
    """Gap (T,) and way (T,2) of frames whose first point is used."""
    count = len(of)
    # As seen from the point; what is not used is put onto a point that is.
    seen = np.where(used[..., None], points, points[:, :1]) - of[:, None]
    angles = np.broadcast_to(np.arange(AROUND) * (2.0 * np.pi / AROUND), (count, AROUND))
    spread = 2.0 * np.pi / AROUND
    gap, best = _furthest(seen, angles)
    for _ in range(TIMES):
        finer = best[:, None] + np.linspace(-spread, spread, FINER)
        gap, best = _furthest(seen, finer)
        spread *= 2.0 / (FINER - 1)
    return gap, np.stack((np.cos(best), np.sin(best)), axis=-1)


def pooled(points: Floats, used: Bools, reach: int) -> tuple[Floats, Bools]:
    """Each frame's points (T,N,...) beside those of up to `reach` frames before and after it.

    Of those frames five are taken at most, evenly spaced: at high rates neighbours hardly differ.
    Returns (T,N*K,...) and which are used; columns that never are, are left out.
    """
    ever = np.any(used, axis=0)
    points, used = points[:, ever], used[:, ever]
    count = len(points)
    taken = np.unique(np.linspace(-reach, reach, min(2 * reach + 1, POOLED)).round().astype(int))
    at = np.arange(count)[:, None] + taken
    inside = (at >= 0) & (at < count)
    at = np.clip(at, 0, count - 1)
    all_used = used[at] & inside[..., None]
    return (
        points[at].reshape(count, -1, *points.shape[2:]),
        all_used.reshape(count, -1),
    )


def _furthest(seen: Floats, angles: Floats) -> tuple[Floats, Floats]:
    """The largest (T,) over angles (T,K) of minus the support function, and its angle."""
    across, up = np.cos(angles), np.sin(angles)
    if angles.shape[1] <= FINER and seen.size <= AT_ONCE:
        beyond = seen[:, None, :, 0] * across[..., None]
        beyond += seen[:, None, :, 1] * up[..., None]
        support = beyond.max(axis=2)
    else:
        support = _support(seen, across, up)
    most = np.argmin(support, axis=1)
    rows = np.arange(len(seen))
    return np.asarray(-support[rows, most]), np.asarray(angles[rows, most])


def _support(seen: Floats, across: Floats, up: Floats) -> Floats:
    """(T,K) how far the furthest of the points goes along each of the directions."""
    support = np.full(across.shape, -np.inf)
    beyond, more = np.zeros(across.shape), np.zeros(across.shape)
    for n in range(seen.shape[1]):  # one point after the other: no array of (T,N,K)
        np.multiply(seen[:, n, 0, None], across, out=beyond)
        np.multiply(seen[:, n, 1, None], up, out=more)
        np.maximum(support, np.add(beyond, more, out=beyond), out=support)
    return support
