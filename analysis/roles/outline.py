# SPDX-License-Identifier: GPL-3.0-or-later
"""Which joints to follow on a rig that is no known figure: chain roots, branches and tips."""

from collections.abc import Collection, Sequence

import numpy as np
from numpy.typing import NDArray

from .besides import body_joints
from .tree import between, children_of, tips_first

MOST_JOINTS = 24


def outline_joints(
    parents: Sequence[int],
    rest_positions: NDArray[np.float64] | None = None,
    *,
    names: Sequence[str] | None = None,
    first: Collection[int] = (),
    most: int = MOST_JOINTS,
) -> list[int]:
    """Indices, in tree order, of the joints that outline a rig: at most `most`.

    Roots, joints with two children or more, and tips are the outline; what the names call
    a finger, a face, a helper or cloth is left out first. Where there are more than
    `most`, those of `first` stay (such as the joints that keys move), then roots, then those
    with the largest reach: the length of the subtree below (rest pose, or joints counted where
    there is none), so small branches go before limbs.
    """
    body = list(range(len(parents))) if names is None else body_joints(names)
    tree = between(parents, body)
    children = children_of(tree)
    outline = [i for i, parent in enumerate(tree) if parent < 0 or len(children[i]) != 1]
    if len(outline) > most:
        reach = _reach(tree, None if rest_positions is None else rest_positions[body])
        chosen = frozenset(first)
        wanted = {n for n, joint in enumerate(body) if joint in chosen}
        kept = sorted(outline, key=lambda i: (i not in wanted, tree[i] >= 0, -reach[i], i))
        outline = sorted(kept[:most])
    return [body[n] for n in outline]


def _reach(parents: Sequence[int], rest: NDArray[np.float64] | None) -> NDArray[np.float64]:
    """How far each joint lies from the branch it ends, plus the longest chain below it."""
    count = len(parents)
    own = np.ones(count)
    if rest is not None:
        for i, parent in enumerate(parents):
            own[i] = np.linalg.norm(rest[i] - rest[parent]) if parent >= 0 else 0.0
    below = np.zeros(count)
    for i in tips_first(parents):
        parent = parents[i]
        if parent >= 0:
            below[parent] = max(below[parent], below[i] + own[i])
    return own + below
