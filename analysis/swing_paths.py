# SPDX-License-Identifier: GPL-3.0-or-later
"""The paths on which swings are told: the body from side to side, hands and props against the
chest (or what else carries the arm), in its axes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .exposure import find_exposures
from .parts import ARM, SIDES, split_part
from .smoothing import smooth

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# The body's sides are told by where it faces in the mean of so long: hips twist with each step.
FACING_S = 1.0
# Poses that are shown for longer than this (twos at 24 a second) do not tell how a turn is spaced.
COARSEST_S = 0.06
# Of the height: how far each way goes at the least (7 cm at 1.7 m; 8.5 cm of hands and props).
ROOT_SHARE, LIMB_SHARE = 0.07 / 1.7, 0.085 / 1.7


@dataclass(frozen=True, eq=False)
class SwingPath:
    """body; path (T,D) metres; known (T,); least_m: how far its ways go to count."""

    body: int
    path: Floats
    known: Bools
    least_m: float


def find_paths(basis: Basis) -> tuple[SwingPath, ...]:
    """Those that the figure has, in the order of mending; what is on twos by itself is left out."""
    if basis.dt_s > COARSEST_S:
        return ()
    own = find_exposures(basis).own
    found = [_body(basis)] if basis.com is not None else []
    found += [
        _carried(basis, body, 0)
        for side in SIDES
        if (body := basis.body(f"hand.{side}")) is not None
    ]
    found += [
        _carried(basis, body, 1)
        for body, each in enumerate(basis.bodies)
        if split_part(each.part or "")[0] == "prop"
    ]
    return tuple(each for each in found if own[each.body] == 1)


def sides_of(basis: Basis) -> Floats:
    """(T,3) unit vectors, level: to the left of the figure, as it faces for a while."""
    ahead = smooth(basis.forward, basis.dt_s, window_s=FACING_S, degree=1)
    left = np.stack((-ahead[:, 1], ahead[:, 0], np.zeros(len(ahead))), axis=-1)
    return np.asarray(left / np.maximum(np.linalg.norm(left, axis=1, keepdims=True), 1e-9))


def gone_along(place: Floats, way: Floats) -> Floats:
    """(T,) metres that a path (T,3) goes along unit vectors (T,3), step by step, summed up."""
    steps = np.einsum("ij,ij->i", np.diff(place, axis=0), 0.5 * (way[1:] + way[:-1]))
    return np.concatenate(([0.0], np.cumsum(steps)))


def _body(basis: Basis) -> SwingPath:
    """What the body goes to its left."""
    path = gone_along(basis.positions[:, basis.lead], sides_of(basis))[:, None]
    least = ROOT_SHARE * basis.height.scene_m
    return SwingPath(basis.lead, path, basis.valid[:, basis.lead], least)


def _carried(basis: Basis, body: int, mark: int) -> SwingPath:
    """A hand, or a prop's tip, in the axes of what carries the arm; in the world without one."""
    above = basis.ancestors(body)
    by = next((n for n in above if not _of_arm(basis, n)), None)
    known = np.asarray(basis.valid[:, [body, *above]].all(axis=1))
    path = basis.marks[:, body, mark]
    if by is not None:
        back = quat.conjugate(basis.rotations[:, by])
        path = quat.rotate(back, path - basis.positions[:, by])
    return SwingPath(body, path, known, LIMB_SHARE * basis.height.scene_m)


def _of_arm(basis: Basis, body: int) -> bool:
    return split_part(basis.bodies[body].part or "")[0] in (*ARM, "prop")
