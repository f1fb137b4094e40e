# SPDX-License-Identifier: GPL-3.0-or-later
"""Limbs that are locked: straight for some frames, as far as they reach, while the goal of their
end goes on beyond that.

A leg may be straight by right: in a walk, standing, kicking, held in a pose. What tells a lock is
how it comes about. Where knees bend as muscles or keyed turns have them, a leg's *reach* comes to
rest as it straightens (it lacks the square of the angle). Where a foot is steered, its reach goes
on at an even pace until it is cut short, and so the knee darts in, and out again.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.contacts import runs
from .hips_down import wanted_off
from .limbs import Limb

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Straight and at rest: degrees, and degrees a second (.3 a frame at 24 frames a second).
STRAIGHT_DEG, STILL_DEG_S = 1.0, 7.2
LEAST_SAMPLES = 3
# Ankle and hip move against each other by so much of the height meanwhile (1 mm at 1.7 m).
MOVES_SHARE = 0.0006
# A lock shorter than this does not bend at all: by so many degrees in it.
SHORT_S, DEAD_DEG = 0.08, 0.15
# The knee is off the line by so much of the height (1.5 cm at 1.7 m) before it is locked, and
# after; these many seconds away, two samples at 24 and 30 a second.
OFF_SHARE, BESIDE_S = 0.009, 0.075
# What the reach lacks grows from one such half of that time to the next by this factor at most,
# on one side at least (of an elbow on both). From the second to the third: 1 where it is cut
# short, 1.67 to 3 where a joint turns evenly into its limit, more where it eases in. From the
# first, of which the limit takes a part, to the second: 1 and more, against 3 and more.
EVEN = 2.0
# Where it is this even on both sides, the knee may be off by less (1 cm at 1.7 m).
BOTH_EVEN, OFF_BOTH_SHARE = 1.4, 0.006
# Where one side lies beyond the range's ends, the other shows it so many times as clearly, and
# ankle and hip move so many times as far. A knee's side that is even all along tells it as clearly
# by itself, whether or not the leg does more than tremble on the other.
ONE_SIDED, ONE_SIDED_MOVES = 2.0, 15.0


@dataclass(frozen=True, eq=False)
class Lock:
    """A limb locked on samples first..last.

    off      metres that the knee is off the line from hip to ankle before and after, the smaller
    limit    what that is compared with
    snap     metres that it darts from one sample to the next as it is locked, or let go: the
             larger; `peak` is the sample where
    beyond   metres that the goal lies beyond reach at most, as its IK target has it; None where
             the clip holds none
    """

    limb: Limb
    first: int
    last: int
    off: float
    limit: float
    snap: float
    peak: int
    beyond: float | None


def find_locks(basis: Basis, limb: Limb, factor: float) -> list[Lock]:
    """A limb's locks, in time's order; `factor` widens what may be overlooked."""
    steady = _steady(limb, basis.dt_s)
    runs = [run for run in _runs(steady) if _is_dead(limb, *run, basis.dt_s)]
    found = [_lock(basis, limb, first, last, factor) for first, last in runs]
    return [lock for lock in found if lock is not None]


def straight_share(basis: Basis, limb: Limb) -> float:
    """The share of samples on which a limb is straight and at rest."""
    steady = _steady(limb, basis.dt_s)
    return float(sum(last - first + 1 for first, last in _runs(steady))) / len(basis.frames)


def _steady(limb: Limb, dt_s: float) -> Bools:
    """(T-1,) steps over which a limb is straight and does not bend."""
    degrees = np.degrees(limb.bend)
    straight = (degrees < STRAIGHT_DEG) & limb.known
    return np.asarray(
        straight[1:] & straight[:-1] & (np.abs(np.diff(degrees)) < STILL_DEG_S * dt_s)
    )


def _runs(steady: Bools) -> list[tuple[int, int]]:
    """First and last samples of runs of steps, of those with enough samples."""
    return [(a, b + 1) for a, b in runs(steady) if b - a + 2 >= LEAST_SAMPLES]


def _is_dead(limb: Limb, first: int, last: int, dt_s: float) -> bool:
    """Whether samples last for long enough, or else do not bend: a knee that swings through
    straight does."""
    bend = np.degrees(limb.bend[first : last + 1])
    return bool((last - first) * dt_s >= SHORT_S or np.ptp(bend) < DEAD_DEG)


def _lock(basis: Basis, limb: Limb, first: int, last: int, factor: float) -> Lock | None:
    height, half = basis.height.scene_m, max(round(0.5 * BESIDE_S / basis.dt_s), 1)
    apart = np.diff((limb.paths[:, 2] - limb.paths[:, 0])[first : last + 1], axis=0)
    moves = float(np.linalg.norm(apart, axis=-1).sum()) / (MOVES_SHARE * height)
    sides = [_beside(limb, first, -half), _beside(limb, last, half)]
    known = [side for side in sides if side is not None]
    if not known or moves < (ONE_SIDED_MOVES if len(known) < 2 else 1.0):
        return None
    seen = _told(limb, known, factor * height)
    if seen is None:
        return None
    snap, peak = _snap(limb, first, last)
    return Lock(limb, first, last, *seen, snap, peak, _beyond(basis, limb, first, last))


def _told(limb: Limb, sides: list["_Side"], height: float) -> tuple[float, float] | None:
    """How far the knee is off and its limit, where one side or two tell a lock; else None."""
    growth = [side.least for side in sides]
    both, alone = len(sides) == 2, ONE_SIDED * OFF_SHARE * height
    off = min(side.off for side in sides)
    share = OFF_SHARE if max(growth) > BOTH_EVEN else OFF_BOTH_SHARE
    limit = share * height if both else alone
    even = min(growth) if limb.joint == "knee" and both else max(growth)
    if off >= limit and even <= EVEN:
        return off, limit
    plain = [side.off for side in sides if side.most <= EVEN]
    if limb.joint == "knee" and plain and max(plain) >= alone:
        return max(plain), alone
    return None


@dataclass(frozen=True)
class _Side:
    """What lies beside a lock's end.

    off           metres that the knee is off the line two steps away
    least, most   the factors by which what the reach lacks grows from step to step
    """

    off: float
    least: float
    most: float


def _beside(limb: Limb, end: int, step: int) -> _Side | None:
    """What lies three steps beside a lock's end; None where that is not known."""
    beside = end + step * np.arange(4)
    if beside.min() < 0 or beside.max() >= len(limb.known):
        return None
    if not limb.known[min(beside) : max(beside) + 1].all():
        return None
    grows = np.diff(limb.slack[beside])
    factors = np.full(2, np.inf)
    np.divide(grows[1:], grows[:-1], out=factors, where=grows[:-1] > 0.0)
    off = float(np.linalg.norm(limb.off_line[beside[2]]))
    return _Side(off, float(factors.min()), float(factors.max()))


def _snap(limb: Limb, first: int, last: int) -> tuple[float, int]:
    """The longest way of the knee from sample to sample, on two steps at either end."""
    steps = np.linalg.norm(np.diff(limb.off_line, axis=0), axis=-1)
    ends = [n for n in (first - 2, first - 1, last, last + 1) if 0 <= n < len(steps)]
    longest = max(ends, key=lambda n: float(steps[n]))
    return float(steps[longest]), min(max(longest + 1, first), last)


def _beyond(basis: Basis, limb: Limb, first: int, last: int) -> float | None:
    """Metres that the goal lies beyond the limb's end at most, as its IK target tells; see Lock."""
    away = wanted_off(basis, limb)
    if away is None:
        return None
    most = float(np.linalg.norm(away[first : last + 1], axis=-1).max())
    return most if most > MOVES_SHARE * basis.height.scene_m else None
