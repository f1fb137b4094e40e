# SPDX-License-Identifier: GPL-3.0-or-later
"""Which joints to follow on a rig that is no known figure: chain roots, branches and tips."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

MOST_JOINTS = 24


def outline_joints(
    parents: Sequence[int],
    rest_positions: NDArray[np.float64] | None = None,
    *,
    most: int = MOST_JOINTS,
) -> list[int]:
    """Indices, in tree order, of the joints that outline a rig: at most `most`.

    Roots, joints with two children or more, and tips are the outline. Where there are
    more than `most`, those with the largest reach stay: the length of the subtree below
    (rest pose, or joints counted where there is none), so fingers go before limbs.
    """
    count = len(parents)
    children = np.zeros(count, dtype=int)
    for parent in parents:
        if parent >= 0:
            children[parent] += 1
    outline = [i for i in range(count) if parents[i] < 0 or children[i] != 1]
    if len(outline) <= most:
        return outline
    reach = _reach(parents, rest_positions)
    kept = sorted(outline, key=lambda i: (parents[i] >= 0, -reach[i], i))[:most]
    return sorted(kept)


def _reach(parents: Sequence[int], rest: NDArray[np.float64] | None) -> NDArray[np.float64]:
    """How far each joint lies from the branch it ends, plus the longest chain below it."""
    count = len(parents)
    own = np.ones(count)
    if rest is not None:
        for i, parent in enumerate(parents):
            own[i] = np.linalg.norm(rest[i] - rest[parent]) if parent >= 0 else 0.0
    below = np.zeros(count)
    for i in sorted(range(count), key=lambda j: -_depth(parents, j)):
        parent = parents[i]
        if parent >= 0:
            below[parent] = max(below[parent], below[i] + own[i])
    return own + below


def _depth(parents: Sequence[int], index: int) -> int:
    depth = 0
    while parents[index] >= 0:
        index, depth = parents[index], depth + 1
    return depth
