# SPDX-License-Identifier: GPL-3.0-or-later
"""The arc that a key's neighbours make, and how far the key is off it.

The arc is a centripetal Catmull-Rom curve (Catmull & Rom 1974; Barry & Goldman 1988) through the
two keys before and the two after, without the key itself. It has no times: a key that is early or
late on its arc is on it, so that spacing is not mistaken for shape.
"""

import numpy as np
from numpy.typing import NDArray

from .arc_paths import KeyPath

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Points of the arc between the key before and the key after.
_STEPS = 33


def misses(path: KeyPath, keys: Ints, left_out: Ints, seen_from: Ints) -> Floats:
    """(N,3) from each key to its arc, which runs past the key that is left out."""
    last = len(path.samples) - 1
    before = _neighbours(keys, left_out, -1, last)
    after = _neighbours(keys, left_out, 1, last)
    four = np.stack((before[1], before[0], after[0], after[1], keys), axis=-1)
    places = path.places(four, seen_from)
    arc = arcs(places[:, 0], places[:, 1], places[:, 2], places[:, 3])
    gaps = arc - places[:, 4, None]
    nearest = np.argmin(np.linalg.norm(gaps, axis=-1), axis=-1)
    return aside(gaps[np.arange(len(keys)), nearest], places[:, 2] - places[:, 1])


def aside(gaps: Floats, chords: Floats) -> Floats:
    """What of gaps (N,3) is square to chords (N,3), where these are longer: a key that goes too far
    along its way, or not far enough, is an overshoot or other spacing."""
    longer = np.linalg.norm(chords, axis=-1) > np.linalg.norm(gaps, axis=-1)
    way = chords / np.maximum(np.linalg.norm(chords, axis=-1, keepdims=True), 1e-12)
    along = np.sum(gaps * way, axis=-1, keepdims=True) * way
    return np.where(longer[:, None], gaps - along, gaps)


def _neighbours(keys: Ints, left_out: Ints, way: int, last: int) -> tuple[Ints, Ints]:
    """The nearest and second nearest key on one side that are not left out; at an end, the last."""
    nearest = keys + way
    nearest = np.where(nearest == left_out, nearest + way, nearest)
    second = nearest + way
    second = np.where(second == left_out, second + way, second)
    clip = np.clip(nearest, 0, last)
    inside = (second >= 0) & (second <= last)
    return clip, np.where(inside, second, clip)


def arcs(before: Floats, start: Floats, end: Floats, after: Floats) -> Floats:
    """(N,S,3) points between `start` and `end` of a centripetal Catmull-Rom curve through four
    points (N,3) each; where two of them are one, the arc begins or ends there."""
    steps = [
        np.sqrt(np.linalg.norm(b - a, axis=-1))
        for a, b in ((before, start), (start, end), (end, after))
    ]
    first, middle, last = (np.maximum(each, 1e-9)[:, None] for each in steps)
    chord = (end - start) / middle
    into = np.where(steps[0][:, None] > 1e-6, (start - before) / first, chord)
    out = np.where(steps[2][:, None] > 1e-6, (after - end) / last, chord)
    leaves = (into * middle + chord * first) / (first + middle)
    leaves = np.where(steps[0][:, None] > 1e-6, leaves, chord)
    enters = (chord * last + out * middle) / (middle + last)
    enters = np.where(steps[2][:, None] > 1e-6, enters, chord)
    u = np.linspace(0.0, 1.0, _STEPS)[None, :, None]
    a, b = start[:, None], end[:, None]
    m, n = (middle * leaves)[:, None], (middle * enters)[:, None]
    return np.asarray(
        (2 * u**3 - 3 * u**2 + 1) * a
        + (u**3 - 2 * u**2 + u) * m
        + (3 * u**2 - 2 * u**3) * b
        + (u**3 - u**2) * n
    )
