# SPDX-License-Identifier: GPL-3.0-or-later
"""A loop wrapped around its seam: what follows the last sample is the first, carried on.

A loop that travels or turns repeats its motion further on. The carrying turn and shift are
not known; they are chosen so that the body that leads the figure runs on most smoothly,
so only a break that no travel explains remains.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A loop that turns by less than this from round to round goes straight on.
TURN_RAD = np.radians(15.0)
# Samples of the neighbouring rounds that are laid on either side.
WRAP = 6
_STENCIL = np.array([1.0, -4.0, 6.0, -4.0, 1.0])
# A stray sample next to the seam is told apart from the carrying step when it explains this
# much of the differences there: what is left without it, as a share.
STRAY_SHARE = 0.3
_STRAYS = (-2, -1, 0, 1)


@dataclass(frozen=True, eq=False)
class Seam:
    """length          samples in one round, L
    marks           (L+12,B,3,3) points in the world, with six samples of the rounds around
    own_marks       (L+12,B,3,3) the same against the parent
    rotations       (L+12,B,4) orientation in the world
    own_rotations   (L+12,B,4) orientation against the parent
    turn, shift     the carrying rotation (4,) and translation (3,) from round to round
    dt_s            seconds a sample
    """

    length: int
    marks: Floats
    own_marks: Floats
    rotations: Floats
    own_rotations: Floats
    turn: Floats
    shift: Floats
    dt_s: float

    @property
    def at_seam(self) -> Bools:
        """(L+8,) True for the fourth differences (centred on -4 .. L+3) that reach over a seam."""
        return self.over_seam(1)

    def over_seam(self, apart: int) -> Bools:
        """The same for differences of samples that lie `apart` samples apart."""
        centres = np.arange(2 * apart - WRAP, self.length + WRAP - 2 * apart)
        near_first, near_last = np.abs(centres + 0.5), np.abs(centres + 0.5 - self.length)
        return np.asarray((near_first < 2.0 * apart) | (near_last < 2.0 * apart))

    def carry(self, points: Floats) -> Floats:
        """World points of one round as they stand in the next."""
        return quat.rotate(np.broadcast_to(self.turn, (*points.shape[:-1], 4)), points) + self.shift

    def jump(self, path: Floats) -> tuple[float, float]:
        """How far a point is off at the seam, and by how much its speed changes (m, m/s).

        path (L+12,3) is one of the wrapped paths. Cubics through the last and the first six
        samples of a round are met half way between.
        """
        before = path[self.length : self.length + WRAP]
        after = path[self.length + WRAP :]
        time: Floats = np.arange(WRAP, dtype=np.float64) - (WRAP - 0.5)
        fit_before = _cubic(time, before)
        fit_after = _cubic(-time[::-1], after)
        gap, speed = fit_after[0] - fit_before[0], (fit_after[1] - fit_before[1]) / self.dt_s
        return float(np.linalg.norm(gap)), float(np.linalg.norm(speed))


def _cubic(time: Floats, path: Floats) -> Floats:
    """(4,3) coefficients, lowest first, of the cubic that fits a path (N,3) best."""
    return np.linalg.pinv(np.vander(time, 4, increasing=True)) @ path


def fourth_differences(values: Floats, apart: int = 1) -> Floats:
    """Along the first axis, without padding: (T, ...) -> (T - 4 apart, ...).

    apart   how many samples lie from one value of a difference to the next
    """
    count = len(values) - 4 * apart
    parts = [weight * values[k * apart :][:count] for k, weight in enumerate(_STENCIL)]
    return np.asarray(np.sum(parts, axis=0))


def find_seam(basis: Basis, length: int, *, travels: bool) -> Seam:
    """Wrap the first `length` samples around; `travels` lets the loop shift and turn."""
    turn, shift = carrying(basis, length) if travels else (np.array([1.0, 0, 0, 0]), np.zeros(3))
    inverse = quat.conjugate(turn)
    # What hangs on nothing that is judged moves by itself: a standing mover carries no travel.
    free = np.array([b.parent < 0 or not basis.bodies[b.parent].judged for b in basis.bodies])
    own_marks = np.where(free[:, None, None], basis.marks, basis.own_marks)
    own_rotations = np.where(free[:, None], basis.rotations, basis.own_rotations)

    def points(values: Floats, carried: Bools) -> Floats:
        values = values[:length]
        after, before = values[:WRAP].copy(), values[-WRAP:].copy()
        after[:, carried] = _turned(turn, after[:, carried]) + shift
        before[:, carried] = _turned(inverse, before[:, carried] - shift)
        return np.concatenate((before, values, after))

    def turns(values: Floats, carried: Bools) -> Floats:
        values = values[:length]
        after, before = values[:WRAP].copy(), values[-WRAP:].copy()
        after[:, carried] = quat.multiply(turn, after[:, carried])
        before[:, carried] = quat.multiply(inverse, before[:, carried])
        return quat.continuous(np.concatenate((before, values, after)))

    everything = np.ones_like(free)
    return Seam(
        length=length,
        marks=points(basis.marks, everything),
        own_marks=points(own_marks, free),
        rotations=turns(basis.rotations, everything),
        own_rotations=turns(own_rotations, free),
        turn=turn,
        shift=shift,
        dt_s=basis.dt_s,
    )


def _turned(turn: Floats, vectors: Floats) -> Floats:
    return quat.rotate(np.broadcast_to(turn, (*vectors.shape[:-1], 4)), vectors)


def carrying(basis: Basis, length: int, least_rad: float = TURN_RAD) -> tuple[Floats, Floats]:
    """Turn (4,) about the vertical and level shift (3,) from one round to the next.

    A turn under `least_rad` is none.
    """
    heading = np.unwrap(np.arctan2(basis.forward[:length, 1], basis.forward[:length, 0]))
    whole_turns = 2.0 * np.pi * np.round((heading[-1] - heading[0]) / (2.0 * np.pi))
    angle = float(_best_step(heading[-WRAP:], heading[:WRAP] + whole_turns)) + whole_turns
    if abs(angle) < least_rad:
        angle = 0.0  # a loop that goes straight on; what is left is a break, not a turn
    turn = np.array([np.cos(angle / 2.0), 0.0, 0.0, np.sin(angle / 2.0)])
    lead = basis.positions[:length, basis.lead]
    shift = _best_step(lead[-WRAP:], _turned(turn, lead[:WRAP]))
    return turn, np.array([shift[0], shift[1], 0.0])


def _best_step(before: Floats, after: Floats) -> Floats:
    """The step added to `after` that leaves the least fourth differences over the seam.

    One stray sample beside the seam may be left out of account: else it would be taken for
    a part of the step.
    """
    rough = fourth_differences(np.concatenate((before, after)).reshape(2 * WRAP, -1))
    step = np.repeat([0.0, 1.0], WRAP)
    found, least = _fitted(rough, step[:, None])
    limit = STRAY_SHARE * least
    for at in _STRAYS:
        solution, left = _fitted(rough, np.stack((step, np.eye(2 * WRAP)[WRAP + at]), axis=1))
        if left < limit:
            found, limit = solution, left
    return np.asarray(found.reshape(after.shape[1:]))


def _fitted(rough: Floats, columns: Floats) -> tuple[Floats, float]:
    """The amount of the first column that makes `rough` least, and what is left then."""
    responses = fourth_differences(columns)
    amounts = -np.linalg.pinv(responses) @ rough
    return amounts[0], float(np.linalg.norm(rough + responses @ amounts))


@dataclass(frozen=True)
class StepOver:
    """How all points step over a seam: root mean squares in metres, as seen from their mean.

    over_m   from the last sample of a round to the first of the next
    usual_m  the mean of the steps before and after it; cosine: whether both lead the same way
    """

    over_m: float
    usual_m: float
    cosine: float


def step_over(basis: Basis, seam: Seam) -> StepOver:
    """The step of the judged bodies' joints and tips over the seam; travel does not speak."""
    points = seam.marks[:, judged_bodies(basis), :2].reshape(len(seam.marks), -1, 3)
    steps = np.diff(points - points.mean(axis=1, keepdims=True), axis=0)
    last = seam.length + WRAP - 1
    over, beside = steps[last], 0.5 * (steps[last - 1] + steps[last + 1])
    far, usual = (float(np.sqrt(np.mean(np.sum(each**2, axis=-1)))) for each in (over, beside))
    together = float(np.mean(np.sum(over * beside, axis=-1)))
    return StepOver(far, usual, together / (far * usual) if far * usual > 0.0 else 0.0)


def judged_bodies(basis: Basis) -> list[int]:
    """The bodies of the figure that are judged; what is followed besides is none of them."""
    return [n for n, body in enumerate(basis.bodies) if body.judged and not body.added]


def roughness(basis: Basis, length: int, *, travels: bool) -> float:
    """How far, in metres, bodies jump at the seam of a loop of `length` samples.

    The mean over the three quarters of all bodies that jump least against their parents, so
    that one broken limb does not speak for the loop.
    """
    seam = find_seam(basis, length, travels=travels)
    jumps = np.linalg.norm(fourth_differences(seam.own_marks), axis=-1) / 3.0
    each = np.sort(jumps[seam.at_seam].max(axis=(0, 2)))
    return float(each[: max(3 * len(each) // 4, 1)].mean())
