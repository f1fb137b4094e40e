# SPDX-License-Identifier: GPL-3.0-or-later
"""Where an animator would set keys: contacts, each limb's own extremes, breakdowns where needed."""

from collections.abc import Iterable
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analysis import quaternions as quat

from .puppet import Floats
from .splines import Spline, spline

# What matters more keeps its frame where two keys come too close.
CONTACT, EXTREME, PAUSE = 3, 2, 1
_ROUNDS = 40


def turning_points(values: Floats, least: float) -> list[int]:
    """Highs and lows of a series (T,) between which it moves by `least` or more."""
    found, low, high, rising = [], 0, 0, None
    for t in range(1, len(values)):
        low = t if values[t] < values[low] else low
        high = t if values[t] > values[high] else high
        if rising is not False and values[high] - values[t] >= least:
            found.append(high)
            rising, low = False, t
        elif rising is not True and values[t] - values[low] >= least:
            found.append(low)
            rising, high = True, t
    return found


def extremes(path: Floats, least: float) -> list[int]:
    """Turning points of every column of a path (T,C)."""
    return sorted({t for column in path.T for t in turning_points(column, least)})


def thinned(weighted: Iterable[tuple[int, int]], last: int, gap: int) -> list[int]:
    """Frames (index, weight) with no two closer than `gap`, first and last frame included."""
    chosen = {0: CONTACT + 1, last: CONTACT + 1}
    for frame, weight in sorted(set(weighted), key=lambda each: (-each[1], each[0])):
        near = min(abs(frame - other) for other in chosen)
        if 0 <= frame <= last and near >= (2 if weight == CONTACT else gap):
            chosen[frame] = weight
    return sorted(chosen)


def moved(frames: Iterable[int], by: int, last: int) -> list[int]:
    """Frames set off by a few, inside the range."""
    return [min(max(frame + by, 0), last) for frame in frames]


def with_breakdowns(
    wanted: Floats, keys: list[int], kind: str, tolerance: float, *, arm: float | None = None
) -> tuple[list[int], Spline]:
    """Keys (indices) and their spline, with breakdowns until it stays within the tolerance.

    wanted (T,C) is what the keys are read off. Distances are lengths of columns; with `arm`
    (metres), wanted is a quaternion and they are how far a point at that distance turns off.
    A breakdown stands two frames from any key or more, so a fast turn may still be missed.
    """
    keys = list(keys)
    for _ in range(_ROUNDS):
        curve = spline(np.array(keys), wanted[keys], kind)
        missed = distance(curve.at(np.arange(len(wanted))), wanted, arm)
        new = [_worst_inside(missed, a, b, tolerance) for a, b in pairwise(keys)]
        found = [frame for frame in new if frame is not None]
        if not found:
            break
        keys = sorted({*keys, *found})
    return keys, curve


def distance(found: Floats, wanted: Floats, arm: float | None) -> Floats:
    """(T,) how far two channels are apart."""
    if arm is None:
        return np.linalg.norm(found - wanted, axis=-1)
    if wanted.shape[1] == 1:
        return arm * np.abs(found - wanted)[:, 0]
    cosine = np.abs(np.sum(quat.normalise(found) * wanted, axis=-1))
    return 2.0 * arm * np.sin(np.arccos(np.clip(cosine, 0.0, 1.0)))


def _worst_inside(missed: Floats, a: int, b: int, tolerance: float) -> int | None:
    inside = np.arange(a + 2, b - 1)
    if not len(inside) or missed[inside].max() <= tolerance:
        return None
    return int(inside[np.argmax(missed[inside])])


def runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last index of every stretch of True in a mask (T,)."""
    steps = np.diff(np.concatenate(([0], mask.astype(int), [0])))
    starts, ends = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1) - 1
    return list(zip(starts.tolist(), ends.tolist(), strict=True))
