# SPDX-License-Identifier: GPL-3.0-or-later
"""The search for steps: points that go on elsewhere from one frame to the next."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.tremble import noise_of_points
from .by_limb import limb_groups
from .departure import find_step
from .ends import EDGE, Ends
from .memory import recalled
from .pop_limits import apart, least_sizes, quick_ways

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A step leaves residuals of half its size on either side: it must be twice as large as a pop.
STEP_RESIDUAL = 2.0
# And larger than this times what the point travels in a frame nearby, on average and next to it:
# a fast move takes several frames.
STEP_TIMES = 1.1
# And than this times what its steps differ by from frame to frame nearby.
STEP_ROUGH = 2.0
# And than so many standard deviations of what the point trembles along each axis, told by the
# smallest quarter of differences of this order.
STEP_TREMBLES, ORDER, QUIET = 10.0, 6, 0.25
# What it travels in that frame is so many times what it does in those next to it.
STEP_APART = 1.5
# It goes this share of the way that it goes in these five frames beyond what it usually does: a
# quick move from a hold eases in or out over several.
STEP_ALONE = 0.68
# Where what leads the figure moves by less than this share of what it does in the frames beside,
# and falls short of its path so, it stalls: what that throws is no step.
STALL_SHARE = 0.5
# It goes on as before: its speed changes by less than this share of the step.
SPEED_SHARE = 0.5
# Frames on either side that are near, and those that are next to the step.
NEAR, NEXT = 4, (-2, -1, 1, 2)


@dataclass(frozen=True, eq=False)
class StepAside:
    """After sample `first` a mark goes on `offset` (3,) metres off the path that led there.

    last   the sample that it is at then
    """

    body: int
    mark: int
    first: int
    last: int
    offset: Floats
    limit: float

    @property
    def size(self) -> float:
        """How far it goes on elsewhere, scene metres."""
        return float(np.linalg.norm(self.offset))

    @property
    def ratio(self) -> float:
        """Size over limit: how clear it is."""
        return self.size / self.limit


def find_steps(basis: Basis, ends: Ends, known: Bools) -> list[StepAside]:
    """Every step of every mark; what falls short of its path (a stall) is none.

    known (T,B)   False in gaps and near them
    """
    path = ends.padded("marks", NEAR)[0]
    count = ends.length - 1
    least = STEP_RESIDUAL * least_sizes(basis, 1)
    factor, quick = apart(basis) * basis.settings.factor("pop"), quick_ways(basis)
    far, limit = (
        np.zeros((count, *path.shape[1:3]), dtype=bool),
        np.zeros((count, *path.shape[1:3])),
    )
    for limb in limb_groups(basis):
        far[:, limb], limit[:, limb] = recalled(
            basis.memory,
            _far,
            np.ascontiguousarray(path[:, limb]),
            np.ascontiguousarray(basis.marks[:, limb]),
            least[limb],
            quick[limb],
            factor,
        )
    lead = np.diff(path[:, basis.lead, 0], axis=0)
    far &= ~_stalls(lead, least[basis.lead])[:, None, None]
    far &= (known[:count] & known[1 : count + 1])[..., None]
    far &= np.isfinite(ends.lenience[:count])[..., None]
    far[:EDGE] = far[count - EDGE :] = False
    found = []
    for first, body, mark in np.argwhere(far).tolist():
        least_m = float(limit[first, body, mark])
        offset = _step(path[first : first + 2 * NEAR + 1, body, mark], least_m)
        if offset is not None:
            found.append(StepAside(body, mark, first, first + 1, offset, least_m))
    return found


def _far(
    path: Floats, marks: Floats, least: Floats, quick: Floats, factor: float
) -> tuple[Bools, Floats]:
    """(N,B,3) whether marks on a path (NEAR+N+1+NEAR,B,3,3) go on elsewhere, and the limits on
    how far they must for that; least, quick (B,) metres."""
    ways = np.diff(path, axis=0)
    limit = factor * np.maximum(least[:, None], _rough(ways))
    limit = np.maximum(limit, quick[:, None])
    limit = np.maximum(limit, STEP_TREMBLES * noise_of_points(marks, ORDER, QUIET))
    return _goes_on_elsewhere(ways, limit), limit


def _rough(ways: Floats) -> Floats:
    """(N,...) how large a step must be not to hide in what a path does around it.

    ways (NEAR+N+NEAR,...,3) from sample to sample
    """
    count = len(ways) - 2 * NEAR
    went = np.linalg.norm(ways, axis=-1)
    near = np.mean([went[NEAR + k :][:count] for k in range(-NEAR, NEAR + 1) if k], axis=0)
    beside = np.max([went[NEAR + k :][:count] for k in NEXT], axis=0)
    turns = np.linalg.norm(np.diff(ways, axis=0), axis=-1)
    apart = [k for k in range(1 - NEAR, NEAR) if k not in (-1, 0)]
    turned = np.mean([turns[NEAR + k :][:count] for k in apart], axis=0)
    return np.asarray(np.maximum(STEP_TIMES * np.maximum(near, beside), STEP_ROUGH * turned))


def _goes_on_elsewhere(ways: Floats, limit: Floats) -> Bools:
    """(N,...) whether a path goes much further in one frame, and on as before."""
    before, here, after = _around(ways)
    further = np.linalg.norm(here - 0.5 * (before + after), axis=-1)
    went = np.linalg.norm(here, axis=-1)
    count = len(went)
    beside = np.max([np.linalg.norm(ways[NEAR + k :][:count], axis=-1) for k in NEXT], axis=0)
    as_before = np.linalg.norm(after - before, axis=-1) <= SPEED_SHARE * further
    apart = (went >= STEP_APART * beside) & _alone(ways)
    return np.asarray((further >= limit) & apart & as_before)


def _alone(ways: Floats) -> Bools:
    """(N,...) whether a step is most of a fast move, and not one frame of several."""
    count = len(ways) - 2 * NEAR
    went = np.linalg.norm(ways, axis=-1)
    around = np.stack([went[NEAR + k :][:count] for k in range(-NEAR, NEAR + 1)])
    usual = np.median(np.delete(around, NEAR, axis=0), axis=0)
    beyond = np.maximum(around - usual, 0.0)
    near = beyond[NEAR + min(NEXT) : NEAR + max(NEXT) + 1].sum(axis=0)
    return np.asarray(beyond[NEAR] >= STEP_ALONE * near)


def _around(ways: Floats) -> tuple[Floats, Floats, Floats]:
    return ways[NEAR - 1 : -NEAR - 1], ways[NEAR:-NEAR], ways[NEAR + 1 : len(ways) - NEAR + 1]


def _step(path: Floats, limit: float) -> Floats | None:
    """The offset of a step after sample NEAR of a path, or None."""
    step = find_step(path, NEAR + 1, 0, limit)
    if step is None:
        return None
    moved = path[NEAR + 1] - path[NEAR]
    expected = moved - step.offset
    return step.offset if np.linalg.norm(moved) > np.linalg.norm(expected) else None


def _stalls(ways: Floats, least: float) -> Bools:
    """(N,) whether a point stalls, from its ways (NEAR+N+NEAR,3) between samples."""
    before, here, after = _around(ways)
    slower = np.minimum(np.linalg.norm(before, axis=-1), np.linalg.norm(after, axis=-1))
    short = np.linalg.norm(here - 0.5 * (before + after), axis=-1) >= least
    return np.asarray(short & (np.linalg.norm(here, axis=-1) < STALL_SHARE * slower))
