# SPDX-License-Identifier: GPL-3.0-or-later
"""Where feet land and leave: there a leg's path breaks by right."""

import itertools
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..memory import recalled
from ..parts import LEG, SIDES
from .soles import heel_path

if TYPE_CHECKING:
    from .core import Basis

# A sole point is down when it is this close to the lowest that it gets, as a share of height.
DOWN_SHARE = 0.008
# Frames on either side of a change in which a break of the leg's path is no fault, or less of one.
NEAR_FRAMES = 2
# Samples of the neighbouring rounds that are looked at in a loop.
BEYOND_FRAMES = 12
# A foot is down or up for longer than this, or it did not land or leave: three frames at 24 a
# second, fewer at lower rates.
SHORTEST_FRAMES, SHORTEST_S = 3, 0.125
# So far around a plant that is higher than the others its own lowest height counts.
AROUND_S = 0.25
# How much larger a break must be while the foot rolls over heel, ball or toe.
ROLLING = 2.0


def leg_lenience(basis: "Basis", loop: int | None = None) -> NDArray[np.float64]:
    """(T,B) what limits are multiplied by: 1, but more for the bodies of a leg near the floor.

    With `loop`, the first so many samples (L,B) as a loop: a foot may land at its seam.

    A foot's sole points (heel, ball, toe's tip) are each compared with the lowest height they
    reach, and where the foot stands higher than that for a while (it sinks at another time, or
    steps on something that nobody declared), with the lowest there. Within two frames of the
    foot's landing or leaving (any of them comes down first, or the last one lifts) a leg is not
    judged: infinity. Within two frames of any other change (it rolls flat, or onto the ball) the
    factor is 2. Heights alone tell the lowest of all: a cycle in place has no still feet.
    """
    count = len(basis.frames) if loop is None else loop
    beyond = 0 if loop is None else min(BEYOND_FRAMES, loop)
    around = np.arange(-beyond, count + beyond) % count
    factors = np.ones((len(around), len(basis.bodies)))
    shortest = min(SHORTEST_FRAMES, round(SHORTEST_S / basis.dt_s))
    for side in SIDES:
        leg = [basis.body(f"{kind}.{side}") for kind in LEG]
        bodies = [body for body in leg if body is not None]
        if not bodies:
            continue
        down = _points_down(basis, _sole_heights(basis, side), side)[around]
        changes = recalled(basis.memory, _near_strikes, down, shortest)
        for near, factor in zip(changes, (ROLLING, np.inf), strict=True):
            for body in bodies:
                factors[near, body] = factor
    return factors[beyond : beyond + count]


def _near_strikes(
    down: NDArray[np.bool_], shortest: int
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """(T,) where any point (T,N) comes down or lifts, and where the whole foot does."""
    whole = np.any(down, axis=1, keepdims=True)
    return _near_changes(down, shortest), _near_changes(whole, shortest)


def _near_changes(states: NDArray[np.bool_], shortest: int) -> NDArray[np.bool_]:
    """(T,) True within two frames of a change in any column of states (T,N)."""
    near = np.zeros(len(states), dtype=bool)
    steady = states
    if states.size:
        steady = np.stack([_steady(column, shortest) for column in states.T], axis=1)
    for change in np.flatnonzero((steady[1:] != steady[:-1]).any(axis=1)):
        near[max(change + 1 - NEAR_FRAMES, 0) : change + 1 + NEAR_FRAMES + 1] = True
    return near


def _steady(state: NDArray[np.bool_], shortest: int) -> NDArray[np.bool_]:
    """(T,) without the changes that last for `shortest` samples or fewer: a pop is no step."""
    steady = state.copy()
    edges = [0, *(np.flatnonzero(state[1:] != state[:-1]) + 1), len(state)]
    for first, last in itertools.pairwise(edges):
        inside = first > 0 and last < len(state)
        if inside and last - first <= shortest:
            steady[first:last] = steady[first - 1]
    return steady


def _points_down(basis: "Basis", heights: NDArray[np.float64], side: str) -> NDArray[np.bool_]:
    """(T,N) for each sole point whether it is near the lowest that it gets, or gets there."""
    if heights.shape[1] == 0:
        return np.zeros(heights.shape, dtype=bool)
    plants = tuple((each.first, each.last) for each in basis.plants if each.side == side)
    near, around = DOWN_SHARE * basis.height.scene_m, round(AROUND_S / basis.dt_s)
    return recalled(basis.memory, _low, heights, plants, near, around)


def _low(
    heights: NDArray[np.float64], plants: tuple[tuple[int, int], ...], near: float, around: int
) -> NDArray[np.bool_]:
    """`_points_down` of heights (T,N), with the first and last samples of the foot's plants."""
    down = np.asarray(heights < np.percentile(heights, 2.0, axis=0) + near)
    for first, last in plants:
        stands = slice(first, last + 1)
        if 2 * np.count_nonzero(down[stands].any(axis=1)) < last + 1 - first:
            there = slice(max(first - around, 0), last + 1 + around)
            down[there] |= heights[there] < heights[stands].min(axis=0) + near
    return down


def _sole_heights(basis: "Basis", side: str) -> NDArray[np.float64]:
    """(T,N) heights of a foot's heel, ball and toe's tip over what bears them, as far as they
    are known."""
    foot, toe = basis.body(f"foot.{side}"), basis.body(f"toe.{side}")
    points = []
    if foot is not None:
        points += [heel_path(basis, foot), basis.marks[:, foot, 1]]
    if toe is not None:
        points += [basis.marks[:, toe, 0], basis.marks[:, toe, 1]]
    if not points:
        return np.zeros((len(basis.frames), 0))
    return basis.ground.clearance(np.stack(points, axis=1))
