# SPDX-License-Identifier: GPL-3.0-or-later
"""Parts from the shape of the rest pose alone: two legs to the floor, two arms, a head.

A biped's tree has two hubs. From the lower hub two mirrored chains run down to the floor:
the legs. From the upper hub two mirrored chains run out: the arms; what goes up is the
neck and head. Anything without such legs is no figure to this module, nor what stands on two
pairs of them, one behind the other.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from .tree import children_of, tips_first

Floats = NDArray[np.float64]

# Mirrored chains may differ by this share of the figure's height.
MIRROR_TOLERANCE = 0.06
# Feet end in this lowest share of the figure.
FOOT_SHARE = 0.15
# Hips are this share of the height above the lowest joint, or more.
HIP_SHARE = 0.25
# Two pairs of legs whose hubs are this share of the height apart, seen from above, are four legs.
PAIRS_APART = 0.2
# From front to back a figure measures this many of its heights at most; a fish is longer.
LONGEST = 1.2


@dataclass(frozen=True)
class _Tree:
    """The rest pose as a tree; `onward` is the child with the deepest tree below it, or -1."""

    names: Sequence[str]
    parents: Sequence[int]
    rest: Floats
    children: tuple[tuple[int, ...], ...]
    onward: tuple[int, ...]
    low: float
    height: float

    def chain(self, start: int) -> list[int]:
        """From a joint outwards, always along the child with the deepest tree below it."""
        chain = [start]
        while self.onward[chain[-1]] >= 0:
            chain.append(self.onward[chain[-1]])
        return chain


def parts_from_shape(
    names: Sequence[str], parents: Sequence[int], rest_positions: Floats
) -> dict[str, tuple[str, ...]]:
    """Parts of a biped by its rest pose (J,3), Z up, metres; empty where it is none."""
    tree = _build(names, parents, rest_positions)
    if tree is None:
        return {}
    hips = _hub(tree, _ends_at_floor)
    if hips is None or _is_low(tree, hips[0]) or _stands_on_more(tree, hips[0]):
        return {}
    pelvis, legs = hips
    left, right = _sort_sides(tree, legs)
    if _is_long(tree, left, right):
        return {}
    parts: dict[str, tuple[str, ...]] = {"root": (names[pelvis],), "pelvis": (names[pelvis],)}
    for side, leg in (("L", left), ("R", right)):
        parts.update(_named(tree, _leg_joints(tree, leg), ("thigh", "shin", "foot", "toe"), side))
    parts.update(_upper_body(tree, pelvis, legs, left_of=_left_axis(tree, left, right)))
    return parts


def _build(names: Sequence[str], parents: Sequence[int], rest: Floats) -> _Tree | None:
    height = float(np.ptp(rest[:, 2])) if len(rest) else 0.0
    if height <= 0.0:
        return None
    children = children_of(parents)
    below = [0] * len(names)
    onward = [-1] * len(names)
    for joint in tips_first(parents):
        if children[joint]:
            onward[joint] = max(children[joint], key=lambda c: (below[c], -c))
            below[joint] = 1 + below[onward[joint]]
    return _Tree(names, parents, rest, children, tuple(onward), float(rest[:, 2].min()), height)


def _ends_at_floor(tree: _Tree, chain: list[int]) -> bool:
    tip = tree.rest[chain[-1]]
    return len(chain) >= 3 and float(tip[2]) < tree.low + FOOT_SHARE * tree.height


_Hub = tuple[int, tuple[list[int], list[int]]]


def _is_low(tree: _Tree, joint: int) -> bool:
    return float(tree.rest[joint, 2]) < tree.low + HIP_SHARE * tree.height


def _is_long(tree: _Tree, left: list[int], right: list[int]) -> bool:
    across = _left_axis(tree, left, right)
    along = tree.rest[:, :2] @ np.array([-across[1], across[0]])
    return float(np.ptp(along)) > LONGEST * tree.height


def _stands_on_more(tree: _Tree, pelvis: int) -> bool:
    """Whether another hub, before or behind the pelvis, stands on a mirrored pair as well."""
    gaps = (tree.rest[hub[0], :2] - tree.rest[pelvis, :2] for _, hub in _hubs(tree, _ends_at_floor))
    return any(float(np.linalg.norm(gap)) > PAIRS_APART * tree.height for gap in gaps)


def _hub(tree: _Tree, wanted: Callable[["_Tree", list[int]], bool]) -> _Hub | None:
    """The joint with the mirrored pair of wanted chains that reach furthest, and that pair."""
    best = max(_hubs(tree, wanted), key=lambda found: found[0], default=None)
    return None if best is None else best[1]


def _hubs(
    tree: _Tree, wanted: Callable[["_Tree", list[int]], bool]
) -> Iterator[tuple[float, _Hub]]:
    """How far each mirrored pair of wanted chains reaches, its joint, and the pair."""
    for joint, children in enumerate(tree.children):
        if len(children) < 2:
            continue
        chains = [chain for chain in map(tree.chain, children) if wanted(tree, chain)]
        lengths = [_length(tree, chain) for chain in chains]
        for (one, a), (other, b) in combinations(zip(chains, lengths, strict=True), 2):
            if _mirrored(tree, joint, one, other):
                yield a + b, (joint, (one, other))


def _length(tree: _Tree, chain: list[int]) -> float:
    return float(np.linalg.norm(np.diff(tree.rest[chain], axis=0), axis=1).sum())


def _mirrored(tree: _Tree, hub: int, one: list[int], other: list[int]) -> bool:
    """Equal heights and distances from the hub, on different sides of it."""
    count = min(len(one), len(other), 4)
    a, b = tree.rest[one[:count]] - tree.rest[hub], tree.rest[other[:count]] - tree.rest[hub]
    slack = MIRROR_TOLERANCE * tree.height
    heights = bool(np.abs(a[:, 2] - b[:, 2]).max() < slack)
    ranges = np.abs(np.linalg.norm(a, axis=1) - np.linalg.norm(b, axis=1)).max() < slack
    apart = np.linalg.norm(a[-1, :2] - b[-1, :2]) > 0.04 * tree.height
    return heights and bool(ranges) and bool(apart)


def _sort_sides(tree: _Tree, legs: tuple[list[int], list[int]]) -> tuple[list[int], list[int]]:
    """Left leg first. Toes point forward; without toes the figure is taken to face -Y."""
    forward = np.zeros(2)
    for leg in legs:
        foot = tree.rest[leg]
        low = foot[foot[:, 2] < tree.low + FOOT_SHARE * tree.height]
        if len(low) >= 2:
            forward += low[-1, :2] - low[0, :2]
    if np.linalg.norm(forward) < 0.01 * tree.height:
        forward = np.array([0.0, -1.0])
    left = np.array([-forward[1], forward[0]])
    first, second = legs
    gap = tree.rest[first[0], :2] - tree.rest[second[0], :2]
    if np.linalg.norm(gap) < 1e-6:
        gap = tree.rest[first[-1], :2] - tree.rest[second[-1], :2]
    return (first, second) if float(gap @ left) > 0.0 else (second, first)


def _left_axis(tree: _Tree, left: list[int], right: list[int]) -> Floats:
    axis = tree.rest[left[1]] - tree.rest[right[1]]
    return np.asarray(axis / max(float(np.linalg.norm(axis)), 1e-9))


def _leg_joints(tree: _Tree, leg: list[int]) -> list[int]:
    """Hip, knee, ankle, ball. A knee is where the leg has about half of its height below it."""
    rest = tree.rest[leg]
    top = float(rest[0, 2])
    share = (rest[:, 2] - tree.low) / max(top - tree.low, 1e-9)
    knee = 1 + int(np.argmin(np.abs(share[1:] - 0.52)))
    ankle = next((i for i in range(knee + 1, len(leg)) if share[i] < 0.25), None)
    joints = [leg[0], leg[knee]]
    if ankle is not None:
        joints += leg[ankle : ankle + 2]
    return joints


def _named(
    tree: _Tree, joints: Sequence[int], kinds: Sequence[str], side: str
) -> dict[str, tuple[str, ...]]:
    pairs = zip(kinds, joints, strict=False)
    return {f"{kind}.{side}": (tree.names[joint],) for kind, joint in pairs}


def _upper_body(
    tree: _Tree, pelvis: int, legs: tuple[list[int], list[int]], *, left_of: Floats
) -> dict[str, tuple[str, ...]]:
    """Spine, chest, neck, head and arms, above the hub of the legs."""

    def reaches_out(_tree: _Tree, chain: list[int]) -> bool:
        in_leg = chain[0] in legs[0] or chain[0] in legs[1]
        return len(chain) >= 3 and not in_leg and not _ends_below(tree, chain, pelvis)

    found = _hub(tree, reaches_out)
    if found is None or found[0] == pelvis:
        return {}
    chest, arms = found
    trunk = [chest]
    while trunk[0] != pelvis and tree.parents[trunk[0]] >= 0:
        trunk.insert(0, tree.parents[trunk[0]])
    if trunk[0] != pelvis:
        return {}
    parts: dict[str, tuple[str, ...]] = {
        f"spine.{n}": (tree.names[j],) for n, j in enumerate(trunk[1:-1], start=1)
    }
    parts["chest"] = (tree.names[chest],)
    first, second = arms
    gap = tree.rest[first[-1]] - tree.rest[second[-1]]
    left, right = (first, second) if float(gap @ left_of) > 0.0 else (second, first)
    for side, arm in (("L", left), ("R", right)):
        joints = _arm_joints(tree, arm)
        kinds = ("shoulder", "upper_arm", "forearm", "hand")[-len(joints) :]
        parts.update(_named(tree, joints, kinds, side))
    parts.update(_neck_and_head(tree, chest, arms))
    return parts


def _ends_below(tree: _Tree, chain: list[int], pelvis: int) -> bool:
    return (
        float(tree.rest[chain[-1], 2]) < tree.low + FOOT_SHARE * tree.height or chain[0] == pelvis
    )


def _arm_joints(tree: _Tree, arm: list[int]) -> list[int]:
    """Collar bone (where there is one), upper arm, forearm, hand; fingers end the arm.

    A collar bone is there when the first bone is clearly shorter than the second and a
    hand is left after it.
    """
    lengths = np.linalg.norm(np.diff(tree.rest[arm[:4]], axis=0), axis=1)
    has_collar = len(arm) >= 4 and lengths[0] < 0.75 * lengths[1]
    return arm[: 4 if has_collar else 3]


def _neck_and_head(
    tree: _Tree, chest: int, arms: tuple[list[int], list[int]]
) -> dict[str, tuple[str, ...]]:
    upward = [c for c in tree.children[chest] if c not in (arms[0][0], arms[1][0])]
    upward = [c for c in upward if tree.rest[c, 2] >= tree.rest[chest, 2]]
    if not upward:
        return {}
    chain = tree.chain(max(upward, key=lambda c: float(tree.rest[tree.chain(c)[-1], 2])))
    if len(chain) == 1:
        return {"head": (tree.names[chain[0]],)}
    return {"neck": (tree.names[chain[0]],), "head": (tree.names[chain[1]],)}
