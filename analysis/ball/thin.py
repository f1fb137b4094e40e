# SPDX-License-Identifier: GPL-3.0-or-later
"""Few keys for a path that has a sample on every frame, within an error on each of them.

Handles stand a third of the way to the next key in time, so that each segment is a cubic in time
and the best handles are the answer of linear equations (least squares).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .slopes import Slopes, fit_slopes, hermite
from .turning_points import find_corners, turning_points

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Whether a key may go is asked with so many keys on either side of it fitted anew.
_AROUND = 3


@dataclass(frozen=True, eq=False)
class Thinned:
    """K keys of a path (T,D).

    at (K,)          the samples that have a key; values (K,D) as they are there
    corner (K,)      where the path changes its way at once; through other keys it goes smoothly
    before, after (K,D)   slopes on both sides of each key, a sample
    error            how far it is off on the worst sample
    """

    at: Ints
    values: Floats
    corner: Bools
    before: Floats
    after: Floats
    error: float

    @property
    def handles(self) -> tuple[Floats, Floats]:
        """Left and right handles (K,1+D): the sample's number, in fractions, and the values."""
        gaps = np.diff(self.at) / 3.0
        left = np.concatenate((gaps[:1], gaps))[:, None]
        right = np.concatenate((gaps, gaps[-1:]))[:, None]
        here = self.at[:, None].astype(np.float64)
        return (
            np.concatenate((here - left, self.values - left * self.before), axis=1),
            np.concatenate((here + right, self.values + right * self.after), axis=1),
        )

    def path(self) -> Floats:
        """(T,D) what the keys play on each sample."""
        return hermite(self.at, self.values, self.before, self.after)


def thin(samples: Floats, *, error: float, kept: Iterable[int] = ()) -> Thinned:
    """Keys that keep samples (T,D) within an error, the distance over all D columns.

    Kept samples, both ends, corners and where any column turns back by more than the error have
    keys; so have as many others as it takes. T is 2 or more, the error above 0.
    """
    last = len(samples) - 1
    corners = {n for n in find_corners(samples, error) if 0 < n < last}
    fixed = {0, last} | corners | {n for n in kept if 0 <= n <= last}
    fixed |= set(turning_points(samples, error))
    keys = sorted(fixed)
    while True:
        slopes = _fit(samples, keys, corners)
        off = _off(samples, keys, slopes)
        worst = _worst_inside(keys, off, error)
        if not worst:
            break
        keys = sorted({*keys, *worst})
    keys, slopes = _pruned(samples, keys, slopes, corners, fixed, error)
    at = np.array(keys, dtype=np.int64)
    return Thinned(
        at=at,
        values=samples[at],
        corner=_among(keys, corners),
        before=slopes.before,
        after=slopes.after,
        error=float(_off(samples, keys, slopes).max()),
    )


def _fit(samples: Floats, keys: list[int], corners: set[int]) -> Slopes:
    at = np.array(keys, dtype=np.int64)
    return fit_slopes(samples, at, _among(keys, corners))


def _among(keys: list[int], corners: set[int]) -> Bools:
    return np.array([key in corners for key in keys], dtype=bool)


def _off(samples: Floats, keys: list[int], slopes: Slopes) -> Floats:
    """(N,) how far each sample from the first key to the last is off."""
    first, last = keys[0], keys[-1]
    at = np.array(keys, dtype=np.int64)
    played = hermite(at - first, samples[at], slopes.before, slopes.after)
    return np.asarray(np.linalg.norm(played - samples[first : last + 1], axis=1))


def _worst_inside(keys: list[int], off: Floats, error: float) -> list[int]:
    """The worst sample of each segment that is off by more than the error."""
    found = []
    for one, two in pairwise(keys):
        inside = off[one + 1 : two]
        if len(inside) and inside.max() > error:
            found.append(one + 1 + int(inside.argmax()))
    return found


def _pruned(
    samples: Floats,
    keys: list[int],
    slopes: Slopes,
    corners: set[int],
    fixed: set[int],
    error: float,
) -> tuple[list[int], Slopes]:
    """Without the keys that others do without, once the handles near by are fitted anew."""
    for key in [key for key in keys if key not in fixed]:
        n = keys.index(key)
        low, high = max(0, n - _AROUND), min(len(keys), n + _AROUND + 1)
        near = keys[low:n] + keys[n + 1 : high]
        known = slopes.cut(low, high)
        at = np.array(near, dtype=np.int64)
        tried = fit_slopes(
            samples,
            at,
            _among(near, corners),
            first=None if low == 0 else known.after[0],
            last=None if high == len(keys) else known.before[-1],
        )
        if _off(samples, near, tried).max() <= error:
            keys = keys[:n] + keys[n + 1 :]
            slopes = slopes.replaced(low, high, tried, is_first=low == 0, is_last=high > len(keys))
    return keys, slopes
