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
    inside = np.flatnonzero((keys >= REACH) & (keys <= last - REACH))
    if not len(inside):
        return miss, left
    at = keys[inside]
    places = path.places(at[:, None] + np.arange(-REACH, REACH + 1), at)
    off = _off(places, REACH)
    places[:, REACH] += off
    steps = _length(np.diff(places, axis=1))
    shortest, longest = steps.min(axis=1), steps.max(axis=1)
    fits = (_length(off) <= _CORNER * shortest) & (longest <= EVEN * shortest)
    around = _length(_off(places, REACH - 1, REACH + 1)).reshape(2, -1).max(axis=0)
    miss[inside[fits]], left[inside[fits]] = off[fits], around[fits]
    return miss, left


def _off(places: Floats, *at: int) -> Floats:
    """(N,3) from one of the places (N,M,3) to the mean of its nearest points on both circles; of
    several places one after the other."""
    a, b, c, d, point = (
        np.concatenate([places[:, n + shift] for n in at]) for shift in (*_AROUND, 0)
    )
    firsts, seconds = np.concatenate((a, b)), np.concatenate((b, c))
    found = _on_circle(np.concatenate((point, point)), firsts, seconds, np.concatenate((c, d)))
    both = found.reshape(2, -1, 3)
    return np.asarray(0.5 * (both[0] + both[1]) - point)


def _on_circle(point: Floats, a: Floats, b: Floats, c: Floats) -> Floats:
    """(N,3) the nearest points of the circles, or the lines, through three points each."""
    u, v = b - a, c - a
    normal = np.cross(u, v)
    square, uu, vv = _dot(normal, normal), _dot(u, u), _dot(v, v)
    straight = square <= (_LINE * np.maximum(uu, vv)) ** 2
    way = np.where(vv >= uu, v, u)
    on_line = a + way * _dot(point - a, way) / np.maximum(_dot(way, way), 1e-18)
    square = np.where(straight, 1.0, square)
    middle = a + np.cross(normal, u * vv - v * uu) / (2.0 * square)
    out = point - middle
    out = out - normal * _dot(out, normal) / square
    length = _length(out)[:, None]
    centred = length <= 0.0
    radius = _length(a - middle)[:, None]
    on_circle = np.where(centred, a, middle + out * radius / np.where(centred, 1.0, length))
    return np.where(straight, on_line, on_circle)


def _dot(one: Floats, other: Floats) -> Floats:
    """(N,1)"""
    return np.asarray(np.sum(one * other, axis=-1, keepdims=True))


def _length(vectors: Floats) -> Floats:
    return np.asarray(np.linalg.norm(vectors, axis=-1))
