# SPDX-License-Identifier: GPL-3.0-or-later
"""The spot of a sole that stands, followed through a plant: heel, ball, toe, or between them.

A foot that turns on its ball moves heel and toe both, and still stands: the spot between them
does not move. One that rolls stands on its heel first and on its toes last. The spot is held as
long as it can be, so that a tremble, or a slip while the foot turns, does not send it elsewhere:
going over to another one costs as much as half a centimetre of slipping (at 1.7 m). What rises
or sinks moves as well: it rolls off or on.
(Shortest path by dynamic programming: Bellman 1957, any textbook.)
"""

import itertools

import numpy as np
from numpy.typing import NDArray

from ..memory import Memory, recalled
from .contacts import Soles
from .ground import LOW_SHARE

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

# What it costs to go over to another spot, as a share of the height (.5 cm at 1.7 m).
CHANGE_SHARE = 0.005 / 1.7
# Spots lie on the sole's points, and on the way between every two of them, so many parts apart.
PARTS = 6
# A spot is moved by so many of these parts at most to where the foot turns: where that leaves so
# little of what it moves (of the squares' sum).
BESIDE, PIVOT_SHARE = 0.6, 0.1
# A spot that has risen by so much (1.6 cm at 1.7 m) stands no more.
RISEN_SHARE = 0.016 / 1.7
# A spot that is not low costs so many heights: it is taken only where no spot is low.
HIGH_COST = 1e3


def spot_steps(
    soles: Soles,
    first: int,
    last: int,
    height_m: float,
    touching: Bools | None = None,
    memory: Memory | None = None,
) -> tuple[Floats, Bools]:
    """Steps (S,3), metres, of the standing spot between samples first and last, S = last - first.

    Also (S,) whether a spot is low (3.5 cm at 1.7 m) over that step; where none is, the step is
    zero.

    touching (T-1,N)  points that keep their height where the foot touches beyond doubt (see
                      `level`): there it stands on them, or between them, and on the lowest of
                      them at any height
    """
    if last <= first:
        return np.zeros((0, 3)), np.zeros(0, dtype=np.bool_)
    here = slice(first, last + 1)
    return recalled(
        memory,
        _spot_steps,
        soles.steps[first:last],
        soles.clearance[here],
        soles.sole.known[here],
        soles.which[here],
        None if touching is None else touching[first:last],
        height_m,
    )


def _spot_steps(
    moves: Floats, heights: Floats, known: Bools, which: Ints, here: Bools | None, height_m: float
) -> tuple[Floats, Bools]:
    """`spot_steps` of what soles say from the first sample to the last."""
    spots = _spots(moves.shape[1])
    steps = np.einsum("sn,tnc->tsc", spots, moves)
    clearance = heights @ spots.T
    gap = (~known).astype(np.float64) @ spots.T > 0.0
    low = (clearance < LOW_SHARE * height_m) & ~gap
    usable = low[1:] & low[:-1]
    if here is not None:
        lifted = (~here).astype(np.float64) @ spots.T > 0.0
        lowest = np.where(here, heights[1:], np.inf).min(axis=1)
        stands = usable | (clearance[1:] <= lowest[:, None])
        usable = np.where(here.any(axis=1, keepdims=True), stands & ~lifted, usable)
    usable &= _same_ground(which, spots)
    cost = np.where(usable, np.linalg.norm(steps, axis=-1), HIGH_COST * height_m)
    chosen = _cheapest(cost, CHANGE_SHARE * height_m)
    found = usable[np.arange(len(moves)), chosen]
    own = _moved_to_pivots(moves, spots, chosen, found)
    found = found & _stays_down(clearance, chosen, RISEN_SHARE * height_m)
    return np.where(found[:, None], own, 0.0), np.asarray(found)


def _stays_down(clearance: Floats, chosen: Ints, risen: float) -> Bools:
    """(S,) whether the chosen spot is no higher than `risen` over its lowest place in its stand.

    clearance (S+1,K) of all spots.
    """
    rows = np.arange(len(chosen))
    high = np.maximum(clearance[rows, chosen], clearance[rows + 1, chosen])
    down = np.zeros(len(chosen), dtype=np.bool_)
    for a, b in _stretches(chosen):
        down[a:b] = high[a:b] <= high[a:b].min() + risen
    return down


def _stretches(chosen: Ints) -> list[tuple[int, int]]:
    """First step and the one after the last of each stand on one spot."""
    edges = [0, *(int(n) + 1 for n in np.flatnonzero(np.diff(chosen))), len(chosen)]
    return list(itertools.pairwise(edges))


def _moved_to_pivots(steps: Floats, spots: Floats, chosen: Ints, found: Bools) -> Floats:
    """Steps (S,3) of the chosen spots; where a foot turns on a place beside one, of that place."""
    own: Floats = np.einsum("sn,snc->sc", spots[chosen], steps)
    for a, b in _stretches(chosen):
        own[a:b] = _least(own[a:b], steps[a:b], found[a:b], spots[chosen[a]])
    return own


def _least(own: Floats, steps: Floats, found: Bools, spot: Floats) -> Floats:
    """Steps (S,3) of the place beside a spot (N,) on which the foot turns, if it does."""
    best, size = own, PIVOT_SHARE * float(np.sum(own[found] ** 2))
    for a, b in itertools.permutations(range(len(spot)), 2):
        if spot[a] == 0.0 or ((spot > 0.0).sum() == 2 and spot[b] == 0.0):
            continue  # only along a way that the spot lies on
        gap = (steps[:, b] - steps[:, a]) / PARTS
        square = max(float(np.sum(gap[found] ** 2)), 1e-18)
        share = min(max(-float(np.sum(own[found] * gap[found])) / square, 0.0), BESIDE)
        moved = own + share * gap
        if (total := float(np.sum(moved[found] ** 2))) < size:
            best, size = moved, total
    return best


def _spots(count: int) -> Floats:
    """(K,N) spots as weights of a sole's N points: the points, and parts of the ways between."""
    points = np.eye(count)
    between = [
        (1.0 - share) * points[a] + share * points[b]
        for a, b in itertools.combinations(range(count), 2)
        for share in np.arange(1, PARTS) / PARTS
    ]
    return np.array([*points, *between])


def _same_ground(which: Ints, spots: Floats) -> Bools:
    """(S,K) whether all points (S+1,N) that a spot lies between stand on one thing over a step."""
    same = np.ones((len(which) - 1, len(spots)), dtype=np.bool_)
    for n, weights in enumerate(spots):
        under = which[:, weights > 0.0]
        one = (under == under[:, :1]).all(axis=1)
        same[:, n] = one[1:] & one[:-1]
    return same


def _cheapest(cost: Floats, change: float) -> Ints:
    """(S,) which spot to stand on at each step, the whole way being as cheap as can be.

    cost (S,K) of standing on each spot at each step; change: of going over to another one.
    """
    count, spots = cost.shape
    total, came = cost[0], np.zeros(cost.shape, dtype=np.int64)
    stay = np.arange(spots)
    for n in range(1, count):
        best = int(np.argmin(total))
        goes = total[best] + change < total
        came[n] = np.where(goes, best, stay)
        total = np.where(goes, total[best] + change, total) + cost[n]
    chosen = np.zeros(count, dtype=np.int64)
    chosen[-1] = int(np.argmin(total))
    for n in range(count - 1, 0, -1):
        chosen[n - 1] = came[n, chosen[n]]
    return chosen
