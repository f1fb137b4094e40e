# SPDX-License-Identifier: GPL-3.0-or-later
"""Ways along a path over the floor: the longest, whether it is straight, where most of it is."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

# A sharp way goes straight: its ends are this share of its way apart. Outside of it the foot is
# dead still, but for so many steps at either end.
STRAIGHT, EDGE = 0.95, 2
# A way's own frames leave out so much of it at either end, where it only creeps; and what lies
# before and after those few in which it goes most of its way, at less than so much of their speed.
TAIL_SHARE, MOST_SHARE, CREEP_SHARE = 0.05, 0.85, 0.1
# Of stretches that are as short, the first: rounding must not choose.
ROUNDING = 1e-6
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
    leaps, length, at = _leaps(len(path) - 1, most), 0.0, (0, 0)
    sizes, starts = _best_of_each(path, whole, rise, least, np.array(leaps, dtype=np.intp))
    found: list[tuple[int, int]] = []
    for size, n, apart in zip(sizes.tolist(), starts.tolist(), leaps, strict=True):
        while apart > most[len(found)]:
            found.append(at)
        if size > length:
            length, at = size, (n, n + apart)
    found += [at] * (len(most) - len(found))
    return [(_way(path, whole, each), (each[0], max(each[1], 1))) for each in found]


def _best_of_each(
    path: Floats, whole: Floats, rise: float, least: float, leaps: Ints
) -> tuple[Floats, Ints]:
    """(L,) the longest level way between samples that lie so many steps apart, -1 where none is
    level; and where it begins."""
    if not len(leaps):
        return np.zeros(0), np.zeros(0, dtype=np.intp)
    starts = np.arange(len(path) - 1)
    ends = np.minimum(starts + leaps[:, None], len(path) - 1)
    (x, y, z), (u, v, w) = ((c[ends] - c[:-1] for c in each.T) for each in (path, whole))
    level, wider = np.sqrt(x * x + y * y), np.sqrt(u * u + v * v)
    z = np.where(wider < level, w, z)
    level = np.minimum(level, wider)
    stays = np.abs(z) <= rise * level + least
    level = np.where(stays & (starts < len(path) - leaps[:, None]), level, -1.0)
    best = np.argmax(level, axis=1)
    return level[np.arange(len(leaps)), best], best


def _way(path: Floats, whole: Floats, at: tuple[int, int]) -> Floats:
    """The level way (3,) between two samples, by the path on which it is shorter."""
    one, other = ((each[at[1]] - each[at[0]]) * [1.0, 1.0, 0.0] for each in (path, whole))
    return np.asarray(other if np.linalg.norm(other) < np.linalg.norm(one) else one)


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
    first, last = _without_creep(gone, first, last)
    return at[0] + first, at[0] + last


def _without_creep(gone: Floats, first: int, last: int) -> tuple[int, int]:
    """The stretch within first to last without what is crept through before and after the core:
    the shortest one in which MOST_SHARE of the way is gone (N,)."""
    reached = np.searchsorted(np.maximum.accumulate(gone), gone + MOST_SHARE * (1.0 - ROUNDING))
    # What was passed before, and gone back on, is reached behind: that is no stretch.
    ahead = (reached < len(gone)) & (reached > np.arange(len(gone)))
    lengths = np.where(ahead, reached - np.arange(len(gone)), len(gone))
    begins = int(np.argmin(lengths[first : last + 1])) + first
    ends = begins + int(lengths[begins])
    if ends > last:
        return first, last
    slow = CREEP_SHARE * float(gone[ends] - gone[begins]) / (ends - begins)
    before, after = np.arange(begins - first + 1), np.arange(last - ends + 1)
    comes = gone[begins] - gone[begins - before] >= slow * before
    goes = gone[ends + after] - gone[ends] >= slow * after
    return begins - int(np.flatnonzero(comes)[-1]), ends + int(np.flatnonzero(goes)[-1])
