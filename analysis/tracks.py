# SPDX-License-Identifier: GPL-3.0-or-later
"""Paths of all bodies in the spaces that a part may stick in: the world, its parent, the trunk.

An arm on keyed rotations that stops moving is carried on by the chest: its hand stands still
in the chest's axes alone.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .ends import Ends
from .parts import TRUNK, split_part

Floats = NDArray[np.float64]

WORLD, PARENT, TRUNK_AXES = "world", "parent", "trunk"


@dataclass(frozen=True, eq=False)
class Track:
    """Paths (N,B,3,3) of all bodies' marks in one space.

    carriers (B,)  whose axes each body is followed in; -1 for the world's
    followed (B,)  bodies that this space says something about
    """

    space: str
    paths: Floats
    carriers: NDArray[np.int64]
    followed: NDArray[np.bool_]


def tracks_of(basis: Basis, ends: Ends) -> tuple[Track, ...]:
    """The tracks of a basis, over the seam where it plays as a loop (see `Ends.around`).

    On the picture, bodies are followed there and against what carries them; there is no
    trunk's picture.
    """
    judged = np.array([body.judged for body in basis.bodies])
    parents = np.array([body.parent for body in basis.bodies])
    marks, _shift = ends.around("marks")
    own, _shift = ends.around("own_marks")
    carried = np.array([parent >= 0 and judged[parent] for parent in parents])
    found = [
        Track(WORLD, marks, np.full(len(parents), -1), judged),
        Track(PARENT, own, parents, judged & carried),
    ]
    trunk = np.array([_trunk_of(basis, body) for body in range(len(parents))])
    followed = judged & (trunk >= 0) & (trunk != parents)
    if basis.space == "world" and followed.any():
        turns, _shift = ends.around("rotations")
        found.append(Track(TRUNK_AXES, _in_axes(marks, turns, trunk, followed), trunk, followed))
    return tuple(found)


def _trunk_of(basis: Basis, body: int) -> int:
    """The nearest part of the trunk that carries a body of a limb, or -1."""

    def of_trunk(n: int) -> bool:
        return split_part(basis.bodies[n].part or "")[0] in TRUNK[1:]

    if of_trunk(body):
        return -1
    return next((n for n in basis.ancestors(body) if of_trunk(n)), -1)


def _in_axes(
    marks: Floats, turns: Floats, carriers: NDArray[np.int64], followed: NDArray[np.bool_]
) -> Floats:
    """The marks of the followed bodies in the axes of their carriers; zero for others."""
    found = np.zeros_like(marks)
    for body in np.flatnonzero(followed):
        above = carriers[body]
        gap = marks[:, body] - marks[:, above, None, 0]
        found[:, body] = quat.rotate(quat.conjugate(turns[:, above])[:, None], gap)
    return found
