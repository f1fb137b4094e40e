# SPDX-License-Identifier: GPL-3.0-or-later
"""A loop laid out over its ground: three rounds of the clip, each going on where the one before
would have, so that what lies over the seam is seen as one."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis, build_basis
from .basis.contacts import Plant
from .clip import Clip
from .declared import is_declared
from .loop import Cycle
from .once import once
from .seam import WRAP, carrying, judged_bodies
from .words import frame_text

Floats = NDArray[np.float64]

ROUNDS = 3
# A round that turns by less than this goes straight on.
TURN_RAD = np.radians(3.0)
# What is so many times further off than half of all points is left out, and the rest fitted again.
STRAY_TIMES, FITS = 2.0, 6


@dataclass(frozen=True, eq=False)
class Looped:
    """basis    of three rounds, the later ones carried on to their places
    length   samples of a round
    turn     (4,) by which a round is turned against the one before
    """

    basis: Basis
    length: int
    turn: Floats

    def is_once(self, first: int, last: int) -> bool:
        """Whether what lasts from sample first to last stands for all its repeats: it begins in
        the middle round, or lasts from the first to the last sample of all."""
        always = first == 0 and last == ROUNDS * self.length - 1
        return always or self.length <= first < 2 * self.length

    def home(self, way: Floats, at: int) -> Floats:
        """A way (3,) that is gone at a sample of the rounds, as it is gone in the first."""
        back = quat.conjugate(self.turn)
        for _ in range(at // self.length):
            way = quat.rotate(back, way)
        return way


@dataclass(frozen=True, eq=False)
class Places:
    """Samples of a range, or of a loop's rounds, as they are told on the range.

    basis, looped   of the range, and of its rounds where it is a loop
    """

    basis: Basis
    looped: Looped | None = None

    def sample(self, at: int) -> int:
        """The sample of the range."""
        return at if self.looped is None else at % self.looped.length

    def number(self, at: int) -> float:
        """Its frame number."""
        return float(self.basis.frames[self.sample(at)])

    def frame(self, at: int) -> str:
        """The same in words."""
        return frame_text(self.number(at))

    def home(self, way: Floats, at: int) -> Floats:
        """A way (3,) that is gone at a sample, as it is gone on the range."""
        return way if self.looped is None else self.looped.home(way, at)

    def spans(self, first: int, last: int) -> list[tuple[int, int]]:
        """First and last sample of the range of each piece of a stretch; a seam parts it."""
        if self.looped is None or last - first >= self.looped.length - 1:
            return [(first, last)] if self.looped is None else [(0, self.looped.length - 1)]
        a, b = self.sample(first), self.sample(last)
        return [(a, b)] if a <= b else [(a, self.looped.length - 1), (0, b)]

    def span(self, first: int, last: int, peak: int) -> tuple[int, int]:
        """The piece of a stretch that holds its peak."""
        at = self.sample(peak)
        return next(each for each in self.spans(first, last) if each[0] <= at <= each[1])

    def text(self, first: int, last: int) -> str:
        """A stretch in words: `12 to 20`, `21 over the loop's seam to 3`."""
        pieces = self.spans(first, last)
        over = " over the loop's seam" if len(pieces) > 1 else ""
        ends = (frame_text(float(self.basis.frames[n])) for n in (pieces[0][0], pieces[-1][1]))
        return f"{over} to ".join(ends)

    def once(self, plants: Sequence[Plant]) -> list[Plant]:
        """Of the plants of a loop's rounds each once; in time's order."""
        found = [
            plant
            for plant in plants
            if self.looped is None or self.looped.is_once(plant.first, plant.last)
        ]
        return sorted(found or plants, key=lambda plant: plant.first)

    @property
    def rounds_basis(self) -> Basis:
        """The basis of the range, or of all rounds of a loop."""
        return self.basis if self.looped is None else self.looped.basis

    def declared(self, body: int, first: int, last: int) -> bool:
        """Whether a stretch of a body touches a declared event that is about it."""
        return any(is_declared(self.basis, body, *each) for each in self.spans(first, last))

    def rounds(self) -> tuple[int, ...]:
        """By how many samples the same moment lies later or earlier: a round, or none."""
        return (0,) if self.looped is None else (0, -self.looped.length, self.looped.length)


@once
def lay_out(basis: Basis, cycle: Cycle) -> Looped | None:
    """Three rounds of a loop; None where the range is none, or is too short to tell how it goes on.

    A loop that travels over declared supports is not laid out: they do not travel with it.
    """
    clip, length = basis.clip, len(basis.frames) - cycle.repeats
    if not cycle.plays or length < 2 * WRAP:
        return None
    if cycle.travels and len(basis.ground.boxes):
        return None
    turn, shift = _carry(basis, cycle, length)
    places, turns = [clip.positions[:length]], [clip.rotations[:length]]
    for _ in range(ROUNDS - 1):
        places.append(_turned(turn, places[-1]) + shift)
        turns.append(quat.multiply(np.broadcast_to(turn, turns[-1].shape), turns[-1]))
    laid = Clip(
        frames=clip.frames[0] + np.arange(ROUNDS * length) * (clip.frames[1] - clip.frames[0]),
        fps=clip.fps,
        joints=clip.joints,
        parents=clip.parents,
        positions=np.concatenate(places),
        rotations=np.concatenate(turns),
        rest_positions=clip.rest_positions,
        rest_rotations=clip.rest_rotations,
        lengths=clip.lengths,
        valid=_tiled(clip.valid, length),
        points=clip.points,
        point_joint=clip.point_joint,
        point_offset=clip.point_offset,
        supports=None
        if clip.supports is None
        else np.concatenate([clip.supports[:, :length]] * ROUNDS, axis=1),
        ground_velocity=_tiled(clip.ground_velocity, length),
        meta=replace(
            clip.meta,
            floor_z=basis.ground.floor_z,
            events=(),
            curves=(),
            controls=(),
            targets={},
            carried={},
        ),
    )
    return Looped(build_basis(laid, basis.settings, basis.memory), length, turn)


def _tiled(values: NDArray[Any] | None, length: int) -> NDArray[Any] | None:
    return None if values is None else np.concatenate([values[:length]] * ROUNDS)


def _turned(turn: Floats, points: Floats) -> Floats:
    return quat.rotate(np.broadcast_to(turn, (*points.shape[:-1], 4)), points)


def _carry(basis: Basis, cycle: Cycle, length: int) -> tuple[Floats, Floats]:
    """Turn (4,) about the vertical and level shift (3,) that take a round to the next one.

    Read from the repeated frame where there is one, else from the mover where it moves, else
    from how the body that leads goes on most smoothly.
    """
    if not cycle.travels:
        return np.array([1.0, 0.0, 0.0, 0.0]), np.zeros(3)
    if cycle.repeats:
        judged = judged_bodies(basis)
        first, again = (basis.marks[at, judged, :2].reshape(-1, 3) for at in (0, length))
        return _between(first, again)
    mover = basis.body("mover")
    if mover is not None and basis.valid[:, mover].all():
        steps = np.linalg.norm(np.diff(basis.positions[:, mover], axis=0), axis=-1)
        if steps.sum() > 0.0:
            return _mover_carries(basis, mover)
    return carrying(basis, length, TURN_RAD)


def _mover_carries(basis: Basis, mover: int) -> tuple[Floats, Floats]:
    """The same as a mover goes on: its last step, once more."""
    marks = basis.marks[:, mover]
    turn, shift = _between(marks[-2], marks[-1])
    return _between(marks[0], _turned(turn, marks[-1]) + shift)


def _between(before: Floats, after: Floats) -> tuple[Floats, Floats]:
    """The turn about the vertical and the level shift that fit points (N,3) to others best.

    Points that most others leave behind (an arm that breaks at the seam) do not count.
    """
    keeps = np.ones(len(before), dtype=bool)
    for _ in range(FITS):
        turn, shift = _fitted(before[keeps], after[keeps])
        off = np.linalg.norm((_turned(turn, before) + shift - after)[:, :2], axis=-1)
        keeps = off <= STRAY_TIMES * float(np.median(off)) + 1e-9
    return turn, shift


def _fitted(before: Floats, after: Floats) -> tuple[Floats, Floats]:
    """The same of all points."""
    mean, there = before.mean(axis=0), after.mean(axis=0)
    a, b = (before - mean)[:, :2], (after - there)[:, :2]
    cross = float(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]))
    angle = float(np.arctan2(cross, np.sum(a * b)))
    angle = 0.0 if abs(angle) < 1e-9 else angle
    turn = np.array([np.cos(angle / 2.0), 0.0, 0.0, np.sin(angle / 2.0)])
    shift = there - _turned(turn, mean[None])[0]
    return turn, shift * [1.0, 1.0, 0.0]
