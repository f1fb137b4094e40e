# SPDX-License-Identifier: GPL-3.0-or-later
"""Ways along a path over the floor: the longest, whether it is straight, where most of it is."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# A sharp way goes straight: its ends are this share of its way apart. Outside of it the foot is
# dead still, but for so many steps at either end.
STRAIGHT, EDGE = 0.95, 2
# A way's own frames leave out so much of it at either end, where it only creeps.
TAIL_SHARE = 0.05
# Longer stretches than this many steps are compared in leaps.
EACH_STEPS, LEAP = 48, 1.12


@dataclass(frozen=True, eq=False)
class Way:
    """A slip's longest way.

    way (3,)    metres, level, over what bears the foot
    first, last  samples between which most of it happens
    peak         the sample that the fastest step leads to
    """

    way: Floats
    first: int
    last: int
    peak: int


def longest(
    path: Floats, whole: Floats, rise: float, least: float, most: Sequence[int]
) -> list[tuple[Floats, tuple[int, int]]]:
    """The longest level ways (3,) between two samples of a path (N,3), and which those are.

    Of the way with and without the steps that do not count, the shorter one is gone: a foot that
    comes back, or goes on, while it bears nothing has not slipped there.

    path, whole   the path of the steps that count, and that of all steps
    most          steps that the samples lie apart at most, shortest first: one way for each
    rise, least   ways that rise or sink by more than this share of themselves and so much are none
    """
    best, length, at = np.zeros(3), 0.0, (0, 1)
    found: list[tuple[Floats, tuple[int, int]]] = []
    for apart in _leaps(len(path) - 1, most):
        while apart > most[len(found)]:
            found.append((best, at))
        ways, other = path[apart:] - path[:-apart], whole[apart:] - whole[:-apart]
        level, wider = (np.linalg.norm(each[:, :2], axis=-1) for each in (ways, other))
        ways = np.where((wider < level)[:, None], other, ways)
        level = np.minimum(level, wider)
        stays = np.abs(ways[:, 2]) <= rise * level + least
        n = int(np.argmax(np.where(stays, level, -1.0)))
        if stays[n] and level[n] > length:
            best, length, at = ways[n] * [1.0, 1.0, 0.0], float(level[n]), (n, n + apart)
    return found + [(best, at)] * (len(most) - len(found))


def is_sharp(path: Floats, at: tuple[int, int], dead: float) -> bool:
    """Whether a path (N,3) goes straight between two samples and stands dead still outside.

    dead   a step that is shorter is none, metres
    """
    size = np.linalg.norm(np.diff(path[:, :2], axis=0), axis=-1)
    inside = size[at[0] : at[1]]
    gone = float(np.linalg.norm(path[at[1], :2] - path[at[0], :2]))
    outside = np.concatenate((size[EDGE : at[0]], size[at[1] : -EDGE]))
    still = len(outside) == 0 or float(np.median(outside)) < dead
    return bool(still and gone >= STRAIGHT * inside.sum())


def _leaps(count: int, most: Sequence[int]) -> list[int]:
    """How many of `count` steps apart samples are compared: each up to some, then ever fewer."""
    last = min(count, most[-1])
    found = list(range(1, min(last, EACH_STEPS) + 1))
    while found and found[-1] < last:
        found.append(min(round(found[-1] * LEAP), last))
    return found


def main(path: Floats, at: tuple[int, int]) -> tuple[int, int]:
    """The stretch inside `at` over which most of that way is gone, along it: without its tails."""
    way = path[at[1], :2] - path[at[0], :2]
    along = path[at[0] : at[1] + 1, :2] @ (way / max(float(np.linalg.norm(way)), 1e-12))
    if along[-1] <= along[0]:
        return at
    gone = (along - along[0]) / (along[-1] - along[0])
    first = int(np.flatnonzero(gone <= TAIL_SHARE)[-1])
    last = int(np.flatnonzero(gone[first + 1 :] >= 1.0 - TAIL_SHARE)[0]) + first + 1
    return at[0] + first, at[0] + last
