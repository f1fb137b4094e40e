# SPDX-License-Identifier: GPL-3.0-or-later
"""The paths that are judged for straight runs.

Points in the world (root, pelvis, chest, head, hands, raised feet, props, bodies without a
part, by joint and tip); hands and head also as what carries them sees them; and the turns of
trunk, neck, head and arms against what carries them, as far as their furthest point goes: an
arm on linear keys swings on an arc, but it turns evenly.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .ends import Ends
from .memory import recalled
from .parts import split_part
from .screen import ScreenBasis
from .stop_points import as_carried, carriers_known, judged_points

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Samples beyond the ends of a run that tell its corners and its swing.
CORNER = 2
_TURNING = ("chest", "spine", "neck", "head", "shoulder", "upper_arm", "forearm", "hand")


@dataclass(frozen=True)
class Track:
    """One path: of a body's mark in the world, as carried, or of the body's turn."""

    body: int
    mark: int
    kind: str


@dataclass(frozen=True, eq=False)
class Tracks:
    """names (N,); paths (T,N,3) metres; judged (T,N): samples that a run may touch;
    shift: the place of the range's first sample."""

    names: tuple[Track, ...]
    paths: Floats
    judged: Bools
    shift: int


def find_tracks(basis: Basis, ends: Ends) -> Tracks:
    """All paths of a basis, with the neighbouring rounds of a loop."""
    marks, shift = ends.around("marks")
    judged = judged_points(basis, ends)
    names, paths, masks = [], [], []
    carried = None if isinstance(basis, ScreenBasis) else as_carried(basis, ends)
    seen = carriers_known(basis, ends)
    for body in range(len(basis.bodies)):
        for mark in (0, 1):
            mask = judged[:, body, mark]
            if not mask.any():
                continue
            names.append(Track(body, mark, "world"))
            paths.append(marks[:, body, mark])
            masks.append(mask)
            if carried is not None and seen[:, body].any():
                names.append(Track(body, mark, "carried"))
                paths.append(carried[:, body, mark])
                masks.append(mask & seen[:, body])
    if carried is not None:
        known, (own, _shift) = ends.known(CORNER, CORNER), ends.around("own_rotations")
        for body in _turning(basis):
            names.append(Track(body, 0, "turn"))
            paths.append(recalled(basis.memory, _summed, own[:, body], _arm(basis, body)))
            # Where it and what carries it are known, and beside its corners.
            masks.append(np.asarray(known[:, body] & known[:, basis.bodies[body].parent]))
    if not names:
        return Tracks((), np.zeros((len(marks), 0, 3)), np.zeros((len(marks), 0), bool), shift)
    return Tracks(tuple(names), np.stack(paths, axis=1), np.stack(masks, axis=1), shift)


def _turning(basis: Basis) -> list[int]:
    return [
        n
        for n, body in enumerate(basis.bodies)
        if body.judged and body.parent >= 0 and split_part(body.part or "")[0] in _TURNING
    ]


def _summed(turn: Floats, arm: float) -> Floats:
    """(T,3) the turns from sample to sample of orientations (T,4), summed up, times an arm."""
    turn = quat.multiply(turn[1:], quat.conjugate(turn[:-1]))
    turn = np.where(turn[:, :1] < 0.0, -turn, turn)
    sine = np.linalg.norm(turn[:, 1:], axis=-1, keepdims=True)
    angle = 2.0 * np.arctan2(sine, turn[:, :1])
    steps = angle * turn[:, 1:] / np.maximum(sine, 1e-12)
    path = np.concatenate((np.zeros((1, 3)), np.cumsum(steps, axis=0)))
    return np.asarray(path * arm)


def _arm(basis: Basis, body: int) -> float:
    """Metres from a body's joint to the furthest point that it carries."""
    carried = [n for n in range(len(basis.bodies)) if body == n or body in basis.ancestors(n)]
    gaps = basis.marks[:, carried, :2] - basis.marks[:, body, 0][:, None, None]
    return float(np.median(np.linalg.norm(gaps, axis=-1), axis=0).max())
