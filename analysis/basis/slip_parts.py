# SPDX-License-Identifier: GPL-3.0-or-later
"""How far a foot slips in the parts of one plant: landing, middle and push-off."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..memory import recalled
from .contacts import Plant
from .slip_ways import Way, is_sharp, longest, main

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Steps that differ by less, of their size, are alike.
ROUNDING = 1e-6
LANDING, MIDDLE, PUSH_OFF = "landing", "middle", "push-off"
# A foot that still slows down after landing, or already gathers speed to leave, is on its way:
# where it would lose two thirds of its speed, or more, within so many seconds, and is faster than
# this share of the height a second (.1 m/s); for so long at most.
EASE_S, SLOWS_S, FAST_SHARE = 0.125, 0.5, 0.1 / 1.7
# Where a shot's feet are held (by an IK target: they stand still to less than .15 cm/s at 1.7 m
# most of the time), one that moves while it stands is not dragged but forgotten.
HELD_SHARE = 0.0015 / 1.7
# What slips stays on the floor: it rises or sinks by less than this share of its way, and this
# share of the height (.05 cm at 1.7 m). Held feet do so exactly.
RISE, RISE_SHARE, EXACT_RISE, EXACT_RISE_SHARE = 0.3, 5e-4 / 1.7, 0.03, 2e-4 / 1.7
# A foot that is not held creeps unseen when it takes longer than this.
SEEN_S = 1.5
# Slips that take no longer than this are also told by themselves.
QUICK_S = (0.125, 0.2, 0.35)


@dataclass(frozen=True, eq=False)
class Part:
    """One part of a plant, and how far the foot slips in it.

    name         LANDING, MIDDLE or PUSH_OFF
    way (3,)     the longest net way over what bears it, metres, level
    exact (3,)   the same, of a foot that rises or sinks by nothing at all
    first, last  samples between which most of it happens
    peak         the sample that the fastest step leads to
    quick        the longest ways of those that take no longer than each of QUICK_S
    """

    name: str
    way: Floats
    exact: Floats
    first: int
    last: int
    peak: int
    quick: tuple[Way, ...] = ()

    @property
    def metres(self) -> float:
        """Length of the way."""
        return float(np.linalg.norm(self.way))


@dataclass(frozen=True, eq=False)
class Slip:
    """How a foot slips in one plant.

    parts        landing, middle and push-off, those that can be judged
    paces (S,)   m/s of each step in the middle
    drift (3,)   m/s, level: how the foot goes over what bears it in the middle, on average; not
                 what it goes, or comes back, while it bears nothing
    middle       its first and last sample
    """

    plant: Plant
    parts: tuple[Part, ...]
    paces: Floats
    drift: Floats
    middle: tuple[int, int]

    def part(self, name: str) -> Part | None:
        """One part, or None where it cannot be judged."""
        return next((part for part in self.parts if part.name == name), None)


def slip_of(
    basis: "Basis",
    plant: Plant,
    span: tuple[int, int],
    steps: Floats,
    judged: Bools,
    at_ends: Bools,
    touches: Bools | None = None,
) -> Slip:
    """How the foot slips in each part of one plant.

    span            samples over which the foot touches, the plant within it
    steps (S,3)     how the spot that it stands on moves over that span
    judged (S,)     the steps that count in the middle: those on which the foot bears the body
    at_ends (S,)    the steps that count while it lands and pushes off
    touches (S,)    those on which it touches beyond doubt, where it goes exactly; None: on all
    """
    scale = Scale(basis.height.scene_m, basis.dt_s)
    return recalled(basis.memory, _slip, scale, plant, span, steps, judged, at_ends, touches)


@dataclass(frozen=True)
class Scale:
    """Metres of a figure's height, and seconds from sample to sample."""

    height: float
    dt_s: float


def _slip(
    scale: Scale,
    plant: Plant,
    span: tuple[int, int],
    steps: Floats,
    judged: Bools,
    at_ends: Bools,
    touches: Bools | None,
) -> Slip:
    size = np.linalg.norm(steps[:, :2], axis=-1)
    begins, ends = middle_of(scale, plant, span, size)
    bounds = ((MIDDLE, begins, ends), (LANDING, 0, begins), (PUSH_OFF, ends, len(steps)))
    shown = {LANDING: plant.lands, MIDDLE: True, PUSH_OFF: plant.leaves}
    counts = {LANDING: at_ends, MIDDLE: judged, PUSH_OFF: at_ends}
    parts = [
        _part(scale, name, span[0], steps, counts[name], touches, (a, b))
        for name, a, b in bounds
        if shown[name] and counts[name][a:b].any()
    ]
    counted = np.arange(begins, ends)[judged[begins:ends]]
    ways = (steps[counted].sum(axis=0), steps[begins:ends].sum(axis=0))
    went = min((way * [1.0, 1.0, 0.0] for way in ways), key=lambda way: float(np.linalg.norm(way)))
    drift = went / (scale.dt_s * max(len(counted), 1))
    paces, middle = size[counted] / scale.dt_s, (span[0] + begins, span[0] + ends)
    return Slip(plant, tuple(parts), paces, drift, middle)


def middle_of(scale: Scale, plant: Plant, span: tuple[int, int], size: Floats) -> tuple[int, int]:
    """The first step (of S, with these sizes) in the middle of a plant, and the one after it."""
    first, last = plant.first - span[0], plant.last - span[0]
    inner = size[first:last]
    begins = first + (_easing(scale, inner) if plant.lands else 0)
    ends = last - (_easing(scale, inner[::-1]) if plant.leaves else 0)
    return (begins, ends) if begins < ends else (first, last)


def _part(
    scale: Scale,
    name: str,
    start: int,
    steps: Floats,
    judged: Bools,
    touches: Bools | None,
    bounds: tuple[int, int],
) -> Part:
    """One part of a plant, from step bounds[0] up to bounds[1]; `start` is the first sample."""
    a, b = bounds
    moved = np.where(judged[a:b, None], steps[a:b], 0.0)
    path, whole = (
        np.concatenate((np.zeros((1, 3)), np.cumsum(each, axis=0))) for each in (moved, steps[a:b])
    )
    height, dt_s = scale.height, scale.dt_s
    most = [max(round(seconds / dt_s), 1) for seconds in (*QUICK_S, SEEN_S)]
    found = longest(path, whole, RISE, RISE_SHARE * height, most)
    frames = {at: _frames(start + a, path, moved, at) for at in {at for _, at in found}}
    *quick, slow = (Way(way, *frames[at]) for way, at in found)
    if touches is not None:
        moved = np.where(touches[a:b, None], moved, 0.0)
        path = np.concatenate((np.zeros((1, 3)), np.cumsum(moved, axis=0)))
    exact, across = longest(path, whole, EXACT_RISE, EXACT_RISE_SHARE * height, [len(path)])[0]
    if not is_sharp(path, across, HELD_SHARE * height * dt_s):
        exact = np.zeros(3)
    return Part(name, slow.way, exact, slow.first, slow.last, slow.peak, tuple(quick))


def _frames(start: int, path: Floats, moved: Floats, at: tuple[int, int]) -> tuple[int, int, int]:
    """Samples between which most of a way happens, and the one that its fastest step leads to."""
    first, last = main(path, at)
    steps = np.linalg.norm(moved[first:last, :2], axis=-1)
    # Of steps that are as fast, the first: rounding must not choose.
    peak = first + int(np.argmax(steps >= (1.0 - ROUNDING) * steps.max())) + 1
    return start + first, start + last, start + peak


def _easing(scale: Scale, size: Floats) -> int:
    """Steps at the beginning throughout which a foot slows down: the rest of its way down."""
    slower = size[1:] < size[:-1] * np.exp(-scale.dt_s / SLOWS_S)
    fast = size[:-1] > FAST_SHARE * scale.height * scale.dt_s
    ends = np.flatnonzero(~(slower & fast))
    steps = int(ends[0]) if len(ends) else len(slower)
    return min(steps, round(EASE_S / scale.dt_s))
