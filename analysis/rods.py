# SPDX-License-Identifier: GPL-3.0-or-later
"""How near two straight rods come to each other.

Closest points of two segments as C. Ericson derives them (Real-Time Collision Detection, 2005,
section 5.1.9; from memory).
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_TINY = 1e-12


def between_rods(first: Floats, second: Floats) -> tuple[Floats, Floats]:
    """From the nearest point of the second rod to the first's: ways (...,3), places (...,2).

    first, second (...,2,3) are the rods' ends; both may be single points. `places` are shares
    of the rods' lengths, from 0 at their first ends to 1, where the two are nearest.
    """
    along, other = first[..., 1, :] - first[..., 0, :], second[..., 1, :] - second[..., 0, :]
    gap = first[..., 0, :] - second[..., 0, :]
    a, e = np.maximum(_dot(along, along), _TINY), np.maximum(_dot(other, other), _TINY)
    b, c, f = _dot(along, other), _dot(along, gap), _dot(other, gap)
    square = a * e - b * b
    crossed = square > 1e-9 * a * e
    s = np.clip(np.where(crossed, b * f - c * e, 0.0) / np.where(crossed, square, 1.0), 0.0, 1.0)
    t = (b * s + f) / e
    s = np.where(t < 0.0, np.clip(-c / a, 0.0, 1.0), s)
    s = np.where(t > 1.0, np.clip((b - c) / a, 0.0, 1.0), s)
    t = np.clip(t, 0.0, 1.0)
    ways = gap + s[..., None] * along - t[..., None] * other
    return ways, np.stack((s, t), axis=-1)


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(np.einsum("...i,...i->...", a, b))
