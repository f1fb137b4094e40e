# SPDX-License-Identifier: GPL-3.0-or-later
"""A tree of joints as a list of parents: walked in steps, since a rope may have 600 bones."""

from collections.abc import Sequence


def children_of(parents: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """For each joint, the joints that hang on it."""
    below: list[list[int]] = [[] for _ in parents]
    for index, parent in enumerate(parents):
        if parent >= 0:
            below[parent].append(index)
    return tuple(tuple(each) for each in below)


def depths(parents: Sequence[int]) -> list[int]:
    """For each joint, how many joints are above it; parents may stand in any order."""
    found = [-1] * len(parents)
    for index in range(len(parents)):
        path, at = [], index
        while at >= 0 and found[at] < 0:
            path.append(at)
            at = parents[at]
        depth = found[at] if at >= 0 else -1
        for joint in reversed(path):
            depth += 1
            found[joint] = depth
    return found


def tips_first(parents: Sequence[int]) -> list[int]:
    """All joints, each after everything below it."""
    depth = depths(parents)
    return sorted(range(len(parents)), key=lambda joint: -depth[joint])


def is_below(parents: Sequence[int], joint: int, upper: int) -> bool:
    """Whether a joint hangs on another, directly or not."""
    at = parents[joint]
    while at >= 0 and at != upper:
        at = parents[at]
    return at == upper


def between(parents: Sequence[int], keep: Sequence[int]) -> list[int]:
    """For each kept joint the nearest kept one above it, as an index into `keep`, or -1.

    Every joint is walked over once, so that long chains cost no more than bushes.
    """
    above: dict[int, int] = {-1: -1}
    place = {joint: n for n, joint in enumerate(keep)}
    for joint in range(len(parents)):
        path, at = [], joint
        while at not in above:
            path.append(at)
            at = parents[at]
        for each in reversed(path):
            above[each] = place.get(parents[each], above[parents[each]])
    return [above[joint] for joint in keep]
