# SPDX-License-Identifier: GPL-3.0-or-later
"""How much captured motion trembles from frame to frame: the noise of its paths.

A smooth path has small fourth differences, and independent noise of standard deviation s has
fourth differences of sqrt(70) s (the root of the sum of the squared binomials 1 4 6 4 1). Of feet
they are taken where these are low: there they move least. The smallest quarter of the stillest
point tells it, so that what moves does not count.
"""

from collections.abc import Sequence
from math import comb, log, sqrt
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from .contacts import Soles

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Low is under this share of the height (6 cm at 1.7 m); fewer low stretches tell nothing.
LOW_SHARE, FEWEST = 0.06 / 1.7, 8
ORDER = 4
# A quarter of what is normally distributed about zero is nearer to it than so many standard
# deviations.
QUARTER, NEARER = 0.25, 0.3186


def tremble_of(soles: Sequence["Soles"], height_m: float) -> float:
    """Standard deviation of the noise in the height of sole points, metres; 0 where unknown."""
    found: list[float] = []
    for each in soles:
        usable = (each.clearance.min(axis=1) < LOW_SHARE * height_m) & each.sole.known.all(axis=1)
        whole = _whole(usable, ORDER)
        if np.count_nonzero(whole) < FEWEST:
            continue
        fourth = np.diff(each.sole.points[..., 2], n=ORDER, axis=0)[whole]
        least = np.quantile(np.abs(fourth), QUARTER, axis=0)
        found.append(float(least.min()) / (NEARER * sqrt(comb(2 * ORDER, ORDER))))
    return min(found, default=0.0)


def noise_of(paths: Sequence[Floats], known: Sequence[Bools], order: int, share: float) -> float:
    """Standard deviation along each axis of the noise in several paths, in their unit.

    paths (T,D) that are noisy along one axis (D is 1) or square to a line (D is 3), known (T,).
    The differences of an `order`, of all paths together, of which the smallest `share` is no
    larger than so much, tell it; 0 where too few are known.
    """
    rest = [
        np.linalg.norm(np.diff(path, n=order, axis=0)[_whole(usable, order)], axis=-1)
        for path, usable in zip(paths, known, strict=True)
        if len(usable) > order
    ]
    if sum(len(each) for each in rest) < FEWEST:
        return 0.0
    along = paths[0].shape[-1] == 1
    nearer = NormalDist().inv_cdf(0.5 + share / 2.0) if along else sqrt(-2.0 * log(1.0 - share))
    return float(np.quantile(np.concatenate(rest), share)) / (nearer * sqrt(comb(2 * order, order)))


def noise_of_points(points: Floats, order: int, share: float) -> Floats:
    """(...,) standard deviation along each axis of the noise of points (T,...,3), in their unit.

    Told as in `noise_of`; 0 where there are too few samples.
    """
    if len(points) < order + FEWEST:
        return np.zeros(points.shape[1:-1])
    least = np.quantile(np.linalg.norm(np.diff(points, n=order, axis=0), axis=-1), share, axis=0)
    # The mean square in three axes is three; a share's root by Wilson & Hilferty 1931, PNAS 17:684.
    nearer = sqrt(3.0) * (1.0 - 2.0 / 27.0 + NormalDist().inv_cdf(share) * sqrt(2.0 / 27.0)) ** 1.5
    return np.asarray(least / (nearer * sqrt(comb(2 * order, order))))


def _whole(usable: Bools, order: int) -> Bools:
    """(T-order,) whether all samples that a difference takes can be used."""
    if len(usable) <= order:
        return np.zeros(0, dtype=bool)
    return np.asarray(np.lib.stride_tricks.sliding_window_view(usable, order + 1).all(axis=1))
