# SPDX-License-Identifier: GPL-3.0-or-later
"""How a figure's spine bends: each joint between hips and chest against the one below it.

Bends are told since the rest pose, about the figure's own axes, so that the joints of one spine
can be compared with each other.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .basis.facing import rest_forward
from .parts import SIDES, split_part

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# The axes that a bend is told about.
FORWARD, SIDE, TWIST = 0, 1, 2
_BENDING = ("spine", "chest")
# What carries the spine is no pelvis where the line of the hips turns in its axes by so much.
RIGID_DEG, MOST = 15.0, 95.0
# A figure whose front points up or down by this cosine lies in its rest pose.
_LIES = 0.7


@dataclass(frozen=True, eq=False)
class Spine:
    """base    body that carries the spine: the pelvis, else the root
    bodies     K bodies that bend, from the hips up: spine joints, then the chest
    bends      (T,K,3) degrees, each against the body below it: forward, to its left, twisted to
               its left
    whole      (T,3) the same of the last against the base
    links      (T,K) metres from each joint to the one below it
    headings   (T,2,3) unit vectors, where hips and chest face, world
    valid      (T,) True where all of it is known
    from_rest  True where bends count from the rest pose, else from the pose nearest to the mean
    """

    base: int
    bodies: tuple[int, ...]
    bends: Floats
    whole: Floats
    links: Floats
    headings: Floats
    valid: Bools
    from_rest: bool


def find_spine(basis: Basis) -> Spine | None:
    """The spine of a figure, or None where chest or hips are not known."""
    base = basis.body("pelvis")
    base = basis.body("root") if base is None else base
    bodies = enumerate(basis.bodies)
    chain = [n for n, body in bodies if split_part(body.part or "")[0] in _BENDING]
    chest = basis.body("chest")
    if base is None or chest is None or any(base not in basis.ancestors(n) for n in chain):
        return None
    if not _is_pelvis(basis, base):
        return None
    at = (base, *chain)
    since, from_rest = _since_rest(basis, at)
    axes = _axes(basis)
    gaps = np.diff(basis.positions[:, at], axis=1)
    return Spine(
        base=base,
        bodies=tuple(chain),
        bends=_about(since[:, :-1], since[:, 1:], axes),
        whole=_about(since[:, 0], since[:, -1], axes),
        links=np.linalg.norm(gaps, axis=-1),
        headings=quat.rotate(since[:, [0, -1]], -axes[SIDE]),
        valid=np.asarray(basis.valid[:, at].all(axis=1)),
        from_rest=from_rest,
    )


def _is_pelvis(basis: Basis, base: int) -> bool:
    """Whether the hip joints turn with the base, as far as they are known."""
    hips = [n for side in SIDES if (n := basis.body(f"thigh.{side}")) is not None]
    if len(hips) < 2 or any(base not in basis.ancestors(n) for n in hips):
        return True
    line = basis.positions[:, hips[0]] - basis.positions[:, hips[1]]
    own = quat.rotate(quat.conjugate(basis.rotations[:, base]), line)
    length = np.linalg.norm(own, axis=-1, keepdims=True)
    own = own / np.maximum(length, 1e-9)
    usual = np.median(own, axis=0)
    usual = usual / max(float(np.linalg.norm(usual)), 1e-9)
    apart = np.degrees(np.arccos(np.clip(own @ usual, -1.0, 1.0)))
    return float(np.percentile(apart, MOST)) <= RIGID_DEG


def _since_rest(basis: Basis, bodies: tuple[int, ...]) -> tuple[Floats, bool]:
    """(T,N,4) the turns of bodies since rest, in the world's axes at rest."""
    now = basis.rotations[:, bodies]
    rest = basis.clip.rest_rotations
    if rest is not None:
        at_rest = rest[[basis.bodies[n].joint for n in bodies]]
    else:
        own = quat.continuous(quat.multiply(quat.conjugate(now[:, :-1]), now[:, 1:]))
        mean = quat.normalise(own.mean(axis=0))
        alike = np.abs(np.sum(own * mean, axis=-1)).min(axis=1)
        at_rest = now[int(np.argmax(alike))]
    back = np.broadcast_to(quat.conjugate(at_rest), now.shape)
    return quat.multiply(now, back), rest is not None


def _axes(basis: Basis) -> Floats:
    """(3,3) unit axes of a bend forward, to the figure's left, and of a twist to its left.

    They are the figure's at rest, standing or lying; -Y is ahead where nothing tells it.
    """
    ahead = rest_forward(basis)
    ahead = np.array([0.0, -1.0, 0.0]) if ahead is None else ahead
    up = np.array([0.0, 0.0, 1.0]) if abs(ahead[2]) < _LIES else np.array([0.0, 1.0, 0.0])
    left = np.cross(up, ahead)
    left = left / np.linalg.norm(left)
    return np.stack((left, -ahead, np.cross(ahead, left)))


def _about(below: Floats, above: Floats, axes: Floats) -> Floats:
    """(...,3) degrees that `above` is turned against `below`, (...,4) each, about the axes."""
    turn = quat.multiply(quat.conjugate(below), above)
    turn = np.where(turn[..., :1] < 0.0, -turn, turn)
    sine = np.linalg.norm(turn[..., 1:], axis=-1, keepdims=True)
    angle = 2.0 * np.arctan2(sine, turn[..., :1])
    return np.asarray(np.degrees(turn[..., 1:] / np.maximum(sine, 1e-12) * angle) @ axes.T)
