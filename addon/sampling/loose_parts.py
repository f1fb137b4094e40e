# SPDX-License-Identifier: GPL-3.0-or-later
"""The loose parts of a mesh, each with a box of its own: the rungs and rails of a ladder."""

from typing import Any

import numpy as np

# A mesh of more vertices is not searched for parts; one of more parts is no set of things to
# stand on.
MOST_VERTICES, MOST_PARTS = 100_000, 256
# So many boxes are followed at most; what would need more is one.
MOST_BOXES = 32
# Two parts that fill so much of the box around both are one: planks, a row of crates.
FILLED = 0.9
# Thinner than this share of the whole is flat: a side of something, not a part of it.
FLAT_SHARE = 1e-4


def part_boxes(points: Any, edges: Any) -> list[Any]:
    """(2,3) low and high corner of each part of a mesh (points (V,3), edges (E,2)) that hangs
    together; one box for the whole where there are too many, or flat ones."""
    used = np.unique(edges)
    if len(used) == 0:
        return [_box(points)]
    _names, part = np.unique(_parts(len(points), edges)[used], return_inverse=True)
    part = part.reshape(-1)
    if part.max() + 1 > MOST_PARTS:
        return [_box(points)]
    return bounded([_box(points[used[part == n]]) for n in range(part.max() + 1)])


def bounded(boxes: list[Any]) -> list[Any]:
    """The same boxes (2,3), those together that fill the box around them; one if they are many,
    or if one of them is flat."""
    whole = _box(np.concatenate(boxes))
    flat = np.ptp(boxes, axis=1).min() <= FLAT_SHARE * np.ptp(whole, axis=0).max()
    if len(boxes) > MOST_PARTS or flat:
        return [whole]
    found = _joined(boxes)
    return found if len(found) <= MOST_BOXES else [whole]


def _box(points: Any) -> Any:
    if not len(points):
        return np.zeros((2, 3))
    return np.array([points.min(axis=0), points.max(axis=0)], dtype=np.float64)


def _parts(count: int, edges: Any) -> Any:
    """(V,) the lowest vertex of the part that each vertex belongs to."""
    root = np.arange(count)
    while True:
        low, high = np.sort(root[edges], axis=1).T
        apart = low != high
        if not apart.any():
            return root
        root[high[apart]] = low[apart]  # of several one is written, the others in the next round
        while (root[root] != root).any():
            root = root[root]


def _joined(boxes: list[Any]) -> list[Any]:
    """Boxes of which two are joined, again and again, while they fill the box around both."""
    found, at = list(boxes), 0
    while at < len(found):
        low, high = np.array(found)[:, 0], np.array(found)[:, 1]
        around = np.maximum(high, high[at]) - np.minimum(low, low[at])
        sizes = (high - low).prod(axis=1)
        fills = sizes + sizes[at] >= FILLED * around.prod(axis=1)
        fills[at] = False
        if not fills.any():
            at += 1
            continue
        other = int(np.argmax(fills))
        found[at] = _box(np.concatenate((found[at], found[other])))
        del found[other]
        at = 0
    return found
