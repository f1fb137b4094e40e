# SPDX-License-Identifier: GPL-3.0-or-later
"""The loose parts of a mesh, each with a box of its own: the rungs and rails of a ladder."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from .fitted_box import box_around, fitted

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
    """(4,4) from the cube from -0.5 to 0.5 to a box around each part of a mesh that hangs together.

    points (V,3), edges (E,2); one box for the whole where there are too many, or flat ones.
    """
    return bounded(loose_parts(points, edges))


def loose_parts(points: Any, edges: Any) -> list[Any]:
    """The points (N,3) of each part of a mesh that hangs together; all in one set where there are
    too many parts, or flat ones."""
    used = np.unique(edges)
    if len(used) == 0:
        return [points]
    _names, part = np.unique(_parts(len(points), edges)[used], return_inverse=True)
    part = part.reshape(-1)
    if part.max() + 1 > MOST_PARTS:
        return [points[used]]
    parts = [points[used[part == n]] for n in range(part.max() + 1)]
    return [points[used]] if _has_flat(parts) else parts


def bounded(parts: Sequence[Any]) -> list[Any]:
    """(4,4) boxes around sets of points (N,3), those together that fill the box around them; one
    if they are many, or if one of them is flat."""
    whole = np.concatenate(parts)
    if len(parts) > MOST_PARTS or _has_flat(parts):
        return [fitted(whole)]
    found = _joined([box_around(points) for points in parts], list(parts))
    return [fitted(points) for points in (found if len(found) <= MOST_BOXES else [whole])]


def _has_flat(parts: Sequence[Any]) -> bool:
    sizes = np.array([np.ptp(box_around(points), axis=0) for points in parts])
    whole = np.ptp(box_around(np.concatenate(parts)), axis=0)
    return bool(sizes.min() <= FLAT_SHARE * whole.max())


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


def _joined(boxes: list[Any], parts: list[Any]) -> list[Any]:
    """The parts, of which two are joined, again and again, while their boxes (2,3) fill the box
    around both."""
    at = 0
    while at < len(parts):
        low, high = np.array(boxes)[:, 0], np.array(boxes)[:, 1]
        around = np.maximum(high, high[at]) - np.minimum(low, low[at])
        sizes = (high - low).prod(axis=1)
        fills = sizes + sizes[at] >= FILLED * around.prod(axis=1)
        fills[at] = False
        if not fills.any():
            at += 1
            continue
        other = int(np.argmax(fills))
        boxes[at] = box_around(np.concatenate((boxes[at], boxes[other])))
        parts[at] = np.concatenate((parts[at], parts[other]))
        del boxes[other], parts[other]
        at = 0
    return parts
