# SPDX-License-Identifier: GPL-3.0-or-later
"""How far two poses are apart, and how closely the end of a range repeats its beginning.

Poses are compared as the eye compares them: by their points, with the travel over the
floor and the turn about the vertical taken out where the loop travels or turns.
"""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# A repeat is closer to its original than this share of a normal step.
REPEAT_SHARE = 0.4
# Mean step, as a share of the height, below which nothing moves enough to loop.
STILL_SHARE = 2e-4


def counts(poses: Floats, most: int) -> range:
    """How many samples at the end may be repeats: `most`, and a third of the range, at most."""
    return range(1, min(most, max(len(poses) // 3, 1)) + 1)


def closeness_of(
    poses: Floats, k: int, height: float, *, level: bool, share: float = REPEAT_SHARE
) -> float | None:
    """How closely the last k of poses (T,N,3) repeat the first k, in steps; None if they do not.

    They are compared point by point, as a share of the point's step (the mean of its four
    steps around the seam, or of the two around the pose where those are larger); points that
    hardly move do not count, and the median of the others speaks, so that one arm which
    does not come home hides no repeat. Every one of the k must be nearer than `share`. `level`
    takes travel and turn out of each comparison.
    """
    steps = seam_steps(poses, len(poses) - k, level)
    if steps.mean() < STILL_SHARE * height:
        return None
    moving = steps >= max(0.5 * float(np.median(steps)), STILL_SHARE * height)
    shares: list[float] = []
    for i in range(k):
        gaps = point_gaps(poses[len(poses) - k + i], poses[i], level=level)
        around = steps if i == 0 else np.maximum(steps, _steps(poses, (i - 1, i), level))
        shares.append(float(np.median(gaps[moving] / around[moving])))
        if shares[-1] >= share:
            return None
    return float(np.mean(shares))


def pose_gap(a: Floats, b: Floats, *, level: bool) -> float:
    """Mean distance in metres between two poses (N,3), see `point_gaps`."""
    return float(point_gaps(a, b, level=level).mean())


def point_gaps(a: Floats, b: Floats, *, level: bool) -> Floats:
    """(N,) distances in metres between the points of two poses (N,3).

    With `level`, the second is first shifted over the floor and turned about the vertical
    to fit the first best, and then once more to fit the two thirds that fit best, so that
    one limb that is elsewhere does not move the rest.
    """
    if not level:
        return np.asarray(np.linalg.norm(a - b, axis=-1))
    gaps = _fitted_gaps(a, b, np.ones(len(a), dtype=bool))
    return _fitted_gaps(a, b, gaps <= np.quantile(gaps, 2.0 / 3.0))


def _fitted_gaps(a: Floats, b: Floats, fit: NDArray[np.bool_]) -> Floats:
    """Distances after the best shift and turn in the plane for the points of `fit`.

    The plane case of Kabsch 1976, Acta Cryst. A32:922.
    """
    p, q = a - a[fit].mean(axis=0), b - b[fit].mean(axis=0)
    cos = float(np.sum(p[fit, :2] * q[fit, :2]))
    sin = float(np.sum(p[fit, 1] * q[fit, 0] - p[fit, 0] * q[fit, 1]))
    length = np.hypot(cos, sin) or 1.0
    c, s = cos / length, sin / length
    turned = np.stack((c * q[:, 0] - s * q[:, 1], s * q[:, 0] + c * q[:, 1]), axis=-1)
    gap = np.concatenate((p[:, :2] - turned, (a[:, 2] - b[:, 2])[:, None]), axis=-1)
    return np.asarray(np.linalg.norm(gap, axis=-1))


def seam_steps(poses: Floats, length: int, level: bool) -> Floats:
    """(N,) mean of each point's two steps before a seam after `length` samples and two after."""
    return _steps(poses, (length - 3, length - 2, 0, 1), level)


def _steps(poses: Floats, starts: Iterable[int], level: bool) -> Floats:
    """(N,) mean of each point's steps from some samples to the ones after them."""
    pairs = [(i, i + 1) for i in starts if i >= 0 and i + 1 < len(poses)]
    gaps = [point_gaps(poses[i], poses[j], level=level) for i, j in pairs]
    return np.asarray(np.mean(gaps, axis=0))
