# SPDX-License-Identifier: GPL-3.0-or-later
"""How deep a carried prop goes into the parts of the body, on frames and between them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .body_shape import Flesh
from .carried import Carried
from .rods import between_rods

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Between two frames the prop is followed in steps of this share of a part's radius, so many at
# most; the way there is a guess (a straight line for the hand, an even turn).
STEP_SHARE, MOST_STEPS = 0.5, 24


@dataclass(frozen=True, eq=False)
class Crossing:
    """For T frames and C parts: how deep the prop is in each, scene metres; below 0: outside.

    depth (T,C)      on each frame; ways (T,C,3) from the part's axis to the prop's nearest line
    between (T,C)    between each frame and the next, where it is deeper there, else -infinity
    """

    depth: Floats
    ways: Floats
    between: Floats


def crossing(basis: Basis, carried: Carried, flesh: Sequence[Flesh]) -> Crossing:
    """How deep a prop goes into some parts of the body."""
    radii = np.array([each.radius for each in flesh])
    rods = np.stack([each.ends for each in flesh], axis=1)
    lines = carried.placed(basis, carried.lines)
    ways, _ = between_rods(lines[:, None, 0], rods)
    far = np.linalg.norm(ways, axis=-1)
    reach = float(np.linalg.norm(carried.edges, axis=-1).max())
    if len(carried.lines) > 1:
        t, c = np.nonzero(far - radii < reach)
        edged = between_rods(lines[t, 1:], rods[t, c][:, None])[0]
        edges_far = np.linalg.norm(edged, axis=-1)
        best = np.argmin(edges_far, axis=1)
        nearest = edges_far[np.arange(len(t)), best]
        nearer = nearest < far[t, c]
        ways[t[nearer], c[nearer]] = edged[nearer, best[nearer]]
        far[t[nearer], c[nearer]] = nearest[nearer]
    return Crossing(radii - far, ways, _between(basis, carried, rods, radii, far))


def _between(basis: Basis, carried: Carried, rods: Floats, radii: Floats, far: Floats) -> Floats:
    """(T,C) the deepest of the middle line between each frame and the next."""
    found = np.full(far.shape, -np.inf)
    line = carried.placed(basis, carried.lines[0])
    travel = np.linalg.norm(np.diff(line, axis=0), axis=-1).max(axis=-1)[:, None]
    travel = travel + np.linalg.norm(np.diff(rods, axis=0), axis=-1).max(axis=-1)
    may = np.minimum(far[1:], far[:-1]) - 0.5 * travel < radii
    t, c = np.nonzero(may & (travel > STEP_SHARE * radii))
    if len(t) == 0:
        return found
    steps = np.minimum(np.ceil(travel[t, c] / (STEP_SHARE * radii[c])), MOST_STEPS).astype(int)
    which = np.repeat(np.arange(len(t)), steps - 1)
    first = np.repeat(np.cumsum(steps - 1) - (steps - 1), steps - 1)
    share = (np.arange(len(which)) - first + 1.0) / steps[which]
    at, part = t[which], c[which]
    moving = _moving(basis, carried, at, share)
    body = rods[at, part] + share[:, None, None] * (rods[at + 1, part] - rods[at, part])
    depth = radii[part] - np.linalg.norm(between_rods(moving, body)[0], axis=-1)
    np.maximum.at(found, (at, part), depth)
    return found


def _moving(basis: Basis, carried: Carried, at: Ints, share: Floats) -> Floats:
    """(N,2,3) the middle line at shares (N,) of the way from samples at (N,) to the next."""
    body = carried.body
    before, after = basis.rotations[at, body], basis.rotations[at + 1, body]
    turn = quat.normalise(before + share[:, None] * (after - before))
    start, stop = basis.positions[at, body], basis.positions[at + 1, body]
    place = start + share[:, None] * (stop - start)
    return np.asarray(place[:, None] + quat.rotate(turn[:, None], carried.lines[0][None]))
