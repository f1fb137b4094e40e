# SPDX-License-Identifier: GPL-3.0-or-later
"""The turns of a swing to and fro, and how its way to and from each is spaced.

From one extreme to the next a way that is evenly spaced has a quarter of its time in its outer
quarter, a sine a third (1/3 exactly), a minimum-jerk movement .36 (Flash & Hogan 1985, J Neurosci
5:1688-1703). Both ways at a turn are judged alike, as far as the shorter one of them goes: what
lies beyond is no part of what turns here. Ways are measured along the path, as an arm's are arcs.
"""

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from .basis.contacts import runs

Floats = NDArray[np.float64]

# The outer part of a way, and the share of time there: of even spacing, and of a sine.
OUTER, EVEN_SHARE, SINE_SHARE = 0.25, 0.25, 1.0 / 3.0
# A turn is where the path comes back on itself within so long, by this cosine.
NEAR_S, BACK = 0.08, -0.6
# A way takes so many steps, and so long at the least and at the most.
FEWEST, SHORTEST_S, LONGEST_S = 4, 0.16, 1.25
# It ends where the path comes nearer again, by this share; its last bit does not count, as it may
# stand there: of what trembles up to the other share.
NEARER, NEARLY, TREMBLING = 0.8, 0.995, 0.97
# What comes out of a stand, or goes into one, ends there: where it goes, for so long, at less than
# this share of the way's own speed; at its far extreme, where eased ways are slow by themselves, at
# less than the other. What it drifts, or goes to later, is no part of the way.
STAND_S, STANDS, STANDS_FAR = 0.2, 0.2, 0.12
# One way may be shorter than the least way by this, as it goes out from the middle.
SHORTER = 0.7
# How long an arc is, is told over this many samples at a time: a tremble makes it no longer.
COARSE = 3


@dataclass(frozen=True)
class Turn:
    """A turn near sample `at`, its ways from sample `first` and to sample `last`, as far as the
    shorter one goes; the whole ways from sample `begins` and to sample `ends`.

    metres   how long the ways are
    share    share of the time in the outer quarters of both ways
    shares   of each way by itself
    uneven   how far the ways are off even spacing, the furthest, as a share of them
    off_m    how far they are off a sine's spacing, the furthest, in metres
    step_m   mean way in a frame
    tremble  how much the path trembles (a standard deviation), as a share of the ways
    short    whether a way is shorter than `least_m`
    led      whether a way comes out of a stand or goes into one
    """

    at: int
    first: int
    last: int
    begins: int
    ends: int
    metres: float
    share: float
    shares: tuple[float, float]
    uneven: float
    off_m: float
    step_m: float
    tremble: float
    short: bool
    led: bool


def find_turns(path: Floats, dt_s: float, least_m: float) -> tuple[Turn, ...]:
    """The turns of a path (T,D), metres, one of whose ways goes `least_m` or more, and the other
    one not much less."""
    tremble = _tremble(path)
    found = [_turn(path, at, dt_s, least_m, tremble) for at in _places(path, dt_s, least_m)]
    return tuple(each for each in found if each is not None)


def _places(path: Floats, dt_s: float, least_m: float) -> list[int]:
    """The samples on which a path turns back, where it is not all but still."""
    near = max(round(NEAR_S / dt_s), 2)
    if len(path) < 2 * near + 3:
        return []
    before = path[near:-near] - path[: -2 * near]
    after = path[2 * near :] - path[near:-near]
    far = np.minimum(*(np.linalg.norm(each, axis=1) for each in (before, after)))
    cosine = np.einsum("ij,ij->i", before, after)
    cosine /= np.maximum(np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1), 1e-12)
    # What goes so little is slower than an even way of the least length ever is, by half.
    moves = far >= 0.5 * SHORTER * least_m * NEAR_S / LONGEST_S
    found = []
    for a, b in runs((cosine < BACK) & moves):
        at = a + int(np.argmax(far[a : b + 1]))
        out = before[at] - after[at]
        low, high = at, at + 2 * near
        found.append(low + int(np.argmax((path[low : high + 1] - path[at + near]) @ out)))
    return found


def _turn(path: Floats, at: int, dt_s: float, least_m: float, tremble: float) -> Turn | None:
    """The turn at a sample; None where its ways are too short, in metres or in time."""
    (back, stood), (on, stands) = (_way(path, at, side, dt_s, least_m) for side in (-1, 1))
    ways = (back, on)
    far, furthest = sorted(float(way[-1]) for way in ways)
    if far < SHORTER * least_m or furthest < least_m:
        return None
    # What was cut where it stands has lost its last bit already.
    whole = min(
        (1.0 if stood or stands else NEARLY) * far, max(far - 2.0 * tremble, TREMBLING * far)
    )
    counts = [int(np.argmax(way >= whole)) for way in ways]
    if min(counts) < max(FEWEST, SHORTEST_S / dt_s):
        return None
    before = _along(path[at - counts[0] : at + 1][::-1])
    after = _along(path[at : at + counts[1] + 1])
    apex, late = _apex(before, after)
    sides = [_spaced(before, apex, late), _spaced(after, apex, -late)]
    metres = [float(before[-1]) + apex, float(after[-1]) + apex]
    return Turn(
        at=at,
        first=at - counts[0],
        last=at + counts[1],
        begins=at - int(np.argmax(ways[0])),
        ends=at + int(np.argmax(ways[1])),
        metres=0.5 * sum(metres),
        share=sum(side.outer for side in sides) / sum(counts),
        shares=(sides[0].share, sides[1].share),
        uneven=max(side.uneven for side in sides),
        off_m=0.5 * sum(metres) * max(side.off_sine for side in sides),
        step_m=sum(metres) / sum(counts),
        tremble=2.0 * tremble / sum(metres),
        short=far < least_m,
        led=stood or stands,
    )


@dataclass(frozen=True)
class _Spaced:
    """One way: samples from the turn's that its outer quarter takes, its share of the time, and
    how far it is off even spacing and off a sine's, as shares of it."""

    outer: float
    share: float
    uneven: float
    off_sine: float


def _spaced(along: Floats, apex: float, late: float) -> _Spaced:
    """How a way is spaced: metres along it (N,) from the turn's sample, how far the turn lies
    beyond that, and how many samples are to be added to it."""
    length, time = float(along[-1]) + apex, len(along) - 1 + late
    outer = float(np.interp(OUTER * length - apex, along, np.arange(len(along))))
    gone = (along[1:] + apex) / length
    passed = (np.arange(1, len(along)) + late) / time
    sine = 0.5 - 0.5 * np.cos(np.pi * passed)
    return _Spaced(
        outer=outer,
        share=(outer + late) / time,
        uneven=float(np.abs(gone - passed).max()),
        off_sine=float(np.abs(gone - sine).max()),
    )


def _way(path: Floats, at: int, side: int, dt_s: float, least_m: float) -> tuple[Floats, bool]:
    """(N,) how far from a turn the path has been, sample by sample, until it comes nearer again or
    stands; and whether that is where it stands."""
    end = max(at - round(LONGEST_S / dt_s), 0) if side < 0 else at + round(LONGEST_S / dt_s)
    piece = path[end : at + 1][::-1] if side < 0 else path[at : end + 1]
    away = np.linalg.norm(piece - path[at], axis=1)
    furthest = np.maximum.accumulate(away)
    nearer = np.flatnonzero(away < NEARER * furthest)
    count = int(nearer[0]) if len(nearer) else len(away)
    ends = _stand(away[:count], round(STAND_S / dt_s), least_m)
    return furthest[:ends], bool(ends < count)


def _stand(away: Floats, steps: int, least_m: float) -> int:
    """How many samples of a way (N,) there are until it stands for so many steps, or all."""
    if len(away) <= steps:
        return len(away)
    at = np.arange(len(away) - steps)
    goes = np.ptp(sliding_window_view(away, steps + 1), axis=1)
    slower = np.where(at + steps <= np.argmax(away), STANDS, STANDS_FAR)
    slow = goes * at < slower * steps * away[at]
    found = np.flatnonzero(slow & (away[at] >= SHORTER * least_m))
    if not len(found):
        return len(away)
    # As far as where it came to stand, by how it has drifted on from there.
    middle, last = away[found[0] + steps // 2], away[found[0] + steps]
    drift = max((last - middle) / (steps - steps // 2), 0.0) * steps
    return int(np.argmax(away >= NEARLY * (last - drift))) + 1


def _along(side: Floats) -> Floats:
    """(N,) metres along the arc from the turn, by how far each sample is from it."""
    away = np.linalg.norm(side - side[0], axis=1)
    ends = side[np.unique(np.append(np.arange(0, len(side), COARSE), len(side) - 1))]
    arc = float(np.linalg.norm(np.diff(ends, axis=0), axis=1).sum())
    # An arc of an angle is longer than its chord by about its square over 24.
    angle = min(np.sqrt(24.0 * max(arc / max(float(away[-1]), 1e-12) - 1.0, 0.0)), np.pi)
    if angle < 1e-3:
        return np.asarray(away)
    radius = 0.5 * float(away[-1]) / np.sin(0.5 * angle)
    return np.asarray(2.0 * radius * np.arcsin(np.minimum(away / (2.0 * radius), 1.0)))


def off_a_sine(path: Floats, first: int, last: int) -> tuple[float, float]:
    """How far a way (of a path (T,D), from one extreme to the next) is off a sine's spacing at the
    most, and how long it is, in metres."""
    along = _along(path[first : last + 1])
    length = float(along[-1])
    sine = 0.5 - 0.5 * np.cos(np.pi * np.arange(len(along)) / max(len(along) - 1, 1))
    return float(np.abs(along - length * sine).max()), length


def is_even_way(path: Floats, first: int, last: int, even: float) -> bool:
    """Whether a whole way is even to this share of it."""
    along = _along(path[first : last + 1])
    passed = np.arange(len(along)) / max(len(along) - 1, 1)
    return bool(np.abs(along - along[-1] * passed).max() < even * along[-1])


def _tremble(path: Floats) -> float:
    """Standard deviation of what a path trembles, by its seventh differences (whose own is
    sqrt(3432) times that of white noise, and whose median length is 1.54 of it in space, .67 on a
    line): fast swings have none to speak of."""
    if len(path) < 8:
        return 0.0
    seventh = np.linalg.norm(np.diff(path, 7, axis=0), axis=1)
    return float(np.median(seventh) / (np.sqrt(3432.0) * (1.54 if path.shape[1] > 1 else 0.6745)))


def _apex(before: Floats, after: Floats) -> tuple[float, float]:
    """How far beyond its sample a turn lies, metres, and how much later, in samples: where the
    path's lines on both sides of the step that holds it meet."""
    if before[1] <= after[1]:
        slopes, start, ends = (before[2] - before[1], after[1]), -1.0, (-before[1], 0.0)
    else:
        slopes, start, ends = (before[1], after[2] - after[1]), 0.0, (0.0, -after[1])
    both = float(slopes[0] + slopes[1])
    place = float(ends[1] + slopes[1] - ends[0]) / both if both > 0.0 else -1.0
    if not 0.0 <= place <= 1.0:
        return 0.0, 0.0
    return max(float(ends[0] + slopes[0] * place), 0.0), start + place
