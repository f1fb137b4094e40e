# SPDX-License-Identifier: GPL-3.0-or-later
"""How far a key is off the circles through its neighbours, where keys lie evenly on their way.

On an even stretch the circle through the two keys before and the one after, and that through the
one before and the two after, are known well; together they hold a circle, a line and nearly an
ellipse or a spiral exactly (blended circles: Wenz 1996).
"""

import numpy as np
from numpy.typing import NDArray

from .arc_paths import KeyPath

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Keys on either side that must lie evenly, and how much longer the longest step between them may
# be than the shortest.
REACH, EVEN = 3, 2.0
# Three points whose middle one is off the chord by less than this share of it lie on a line.
_LINE = 1e-3
# A key that is off by more than this share of the nearer step turns a corner: a bounce, an extreme.
_CORNER = 0.5
_AROUND = (-2, -1, 1, 2)


def rounds(path: KeyPath, keys: Ints) -> tuple[Floats, Floats]:
    """(N,3) from each key to its circles, metres, and (N,) the largest such way of the keys around
    it once it is put there; zero and infinite where the stretch is not even
    or turns a corner there."""
    last = len(path.samples) - 1
    miss, left = np.zeros((len(keys), 3)), np.full(len(keys), np.inf)
    for n, key in enumerate(keys):
        if key < REACH or key > last - REACH:
            continue
        places = path.places(np.arange(key - REACH, key + REACH + 1)[None], keys[n : n + 1])[0]
        off = _off(places, REACH)
        places[REACH] += off
        steps = np.linalg.norm(np.diff(places, axis=0), axis=-1)
        corner = np.linalg.norm(off) > _CORNER * steps.min()
        if corner or steps.max() > EVEN * steps.min():
            continue
        near = [REACH - 1, REACH + 1]
        miss[n], left[n] = off, max(float(np.linalg.norm(_off(places, at))) for at in near)
    return miss, left


def _off(places: Floats, at: int) -> Floats:
    """(3,) from a place to the mean of its nearest points on both circles."""
    a, b, c, d = (places[at + shift] for shift in _AROUND)
    both = (_on_circle(places[at], a, b, c), _on_circle(places[at], b, c, d))
    return np.asarray(0.5 * (both[0] + both[1]) - places[at])


def _on_circle(point: Floats, a: Floats, b: Floats, c: Floats) -> Floats:
    """(3,) the nearest point of the circle, or the line, through three points."""
    u, v = b - a, c - a
    normal = np.cross(u, v)
    square, longest = float(normal @ normal), max(float(u @ u), float(v @ v))
    if square <= (_LINE * longest) ** 2:
        way = v if v @ v >= u @ u else u
        length = max(float(way @ way), 1e-18)
        return np.asarray(a + way * float((point - a) @ way) / length)
    middle = a + np.cross(normal, u * float(v @ v) - v * float(u @ u)) / (2.0 * square)
    out = point - middle
    out = out - normal * float(out @ normal) / square
    length = float(np.linalg.norm(out))
    if length <= 0.0:
        return np.asarray(a)
    return np.asarray(middle + out * float(np.linalg.norm(a - middle)) / length)
