# SPDX-License-Identifier: GPL-3.0-or-later
"""Stretches on which a path runs in a straight, even line, with a corner at either end.

A small second difference alone says little: any path has some. A run is straight and even where
the second differences inside it are small beside those at both its ends, where the path turns
or changes its pace at once. What is even to the last per cent, as on linear keys, is told from
smaller corners than what is nearly so.
"""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# A run has so many steps at least, and lasts so long at most.
LEAST_STEPS, LONGEST_S = 4, 1.5
# Nearly even: the smaller corner is so many times larger than the largest second difference
# inside and this share of the mean step.
EVEN_SHARE = 0.02
# A path that is so many times faster next to a nearly even run slows down for a while there.
SLOWER = 2.5
# It is straight and even: off the line between its ends by so much of what it cuts off at most.
BOW_SHARE = 0.25
# What is back on the run's own line, to this share of its corner, two or three samples beside it
# has popped there: that is no corner.
BACK_SHARE, BACK_STEPS = 0.4, (2, 3)
# Exactly even: second differences inside of this share of the mean step at most, and corners of
# the other share at least.
EXACT_SHARE, EXACT_CORNER = 0.01, 0.04


@dataclass(frozen=True)
class Run:
    """From sample `first` to `last`, both the path's corners.

    track    which path
    step_m   its mean step
    corner   the smaller corner, and inside: the largest second difference between; both as
             shares of that step
    slower   how many times faster the path is next to it
    off_m    how far the path would swing out of the run, if it went on as it comes and goes
    worst    the sample on which that is most
    bow_m    how far the path itself lies off the line between the corners, gone evenly
    """

    track: int
    first: int
    last: int
    step_m: float
    corner: float
    inside: float
    slower: float
    off_m: float
    worst: int
    bow_m: float

    @property
    def is_straight(self) -> bool:
        """Whether it is off its own even line by little of what it cuts off."""
        return self.bow_m <= BOW_SHARE * self.off_m

    @property
    def is_exact(self) -> bool:
        """Whether it is even to the last per cent, as no motion is by itself."""
        return self.inside <= EXACT_SHARE

    def clear(self, ratio: float) -> float:
        """How many times over its limit the run is, for a limit on the corner's ratio."""
        best = self.corner / (self.inside + EVEN_SHARE) / ratio if self.slower <= SLOWER else 0.0
        return max(best, self.corner / EXACT_CORNER) if self.is_exact else best


def find_runs(
    paths: Floats, dt_s: float, *, ratios: Floats, factor: float, least_m: float, least_m_s: float
) -> list[Run]:
    """Runs of paths (T,N,3), metres, those of one path without overlap, in time's order.

    ratios (N,)  limits on each path's corners; factor widens these and those of exact runs
    least_m      how far a run must cut off its path; least_m_s: how fast it must be
    A run touches neither the first nor the last sample: there is no corner to be seen.
    """
    steps = np.diff(paths, axis=0)
    corners = np.linalg.norm(np.diff(steps, axis=0), axis=-1)
    smallest = factor * EXACT_CORNER
    found: list[Run] = []
    inside = corners.copy()
    for length in range(2, min(round(LONGEST_S / dt_s), len(paths) - 3) + 1):
        if length > 2:
            inside = np.maximum(inside[:-1], corners[length - 2 :])
        if length < LEAST_STEPS:
            continue
        # Of a run from sample a on, the corners stand at a - 1 and a + length - 1.
        smaller, left = np.minimum(corners[:-length], corners[length:]), inside[1:-1]
        clear = smaller >= np.maximum(smallest / EXACT_SHARE * left, smallest * least_m_s * dt_s)
        clear |= smaller >= factor * ratios * np.maximum(left, EVEN_SHARE * least_m_s * dt_s)
        for at, track in np.argwhere(clear):
            run = _run(paths[:, track], steps[:, track], int(at) + 1, length)
            run = replace(
                run,
                track=int(track),
                corner=float(smaller[at, track]) / max(run.step_m, 1e-12),
                inside=float(left[at, track]) / max(run.step_m, 1e-12),
            )
            fits = run.off_m >= least_m and run.step_m >= least_m_s * dt_s
            fits = fits and not _pops_beside(paths[:, track], run)
            if fits and run.clear(float(ratios[track])) >= factor:
                found.append(run)
    return sorted(_without_overlap(found, ratios), key=lambda run: (run.first, run.track))


def arc_offset(path: Floats, run: Run) -> Floats:
    """(3,) from the path's point at the run's worst sample to where its swing would pass."""
    swing = _swing(path, run.first, run.last)
    return np.asarray(swing[run.worst - run.first - 1])


def _run(path: Floats, steps: Floats, first: int, length: int) -> Run:
    """A run as far as its own path tells."""
    last = first + length
    off = np.linalg.norm(_swing(path, first, last), axis=-1)
    worst = int(np.argmax(off))
    line = _chord_weights(length) @ path[[first - 1, first, last, last + 1]]
    step = float(np.linalg.norm(path[last] - path[first])) / length
    fastest = max(float(np.linalg.norm(steps[at])) for at in (first - 1, last))
    return Run(
        track=0,
        first=first,
        last=last,
        step_m=step,
        corner=0.0,
        inside=0.0,
        slower=fastest / max(step, 1e-12),
        off_m=float(off[worst]),
        worst=first + 1 + worst,
        bow_m=float(np.linalg.norm(line - path[first + 1 : last], axis=-1).max()),
    )


def _pops_beside(path: Floats, run: Run) -> bool:
    """Whether the path is back on the run's line, evenly continued, just beside a corner."""
    chord = (path[run.last] - path[run.first]) / (run.last - run.first)
    for at, side in ((run.first, -1), (run.last, 1)):
        beyond = [at + side * n for n in (1, *BACK_STEPS) if 0 <= at + side * n < len(path)]
        off = [float(np.linalg.norm(path[n] - path[at] - (n - at) * chord)) for n in beyond]
        if min(off[1:], default=np.inf) < BACK_SHARE * off[0]:
            return True
    return False


def _swing(path: Floats, first: int, last: int) -> Floats:
    """(N,3) for the samples inside a run: from the straight line to the cubic through the two
    samples at either end, as the path comes and goes."""
    beside = [first - 1, first, last, last + 1]
    weights = _weights(last - first) - _chord_weights(last - first)
    return np.asarray(weights @ path[beside])


@lru_cache(maxsize=256)
def _weights(length: int) -> Floats:
    """(length - 1, 4) Lagrange's, for the samples between knots at -1, 0, length, length + 1."""
    knots = np.array([-1.0, 0.0, length, length + 1.0])
    inside = np.arange(1.0, length)[:, None]
    columns = [
        np.prod((inside - knots[knots != knot]) / (knot - knots[knots != knot]), axis=1)
        for knot in knots
    ]
    return np.stack(columns, axis=1)


@lru_cache(maxsize=256)
def _chord_weights(length: int) -> Floats:
    """(length - 1, 4) of the straight line between the two middle knots."""
    share = np.arange(1.0, length) / length
    return np.stack((0.0 * share, 1.0 - share, share, 0.0 * share), axis=1)


def _without_overlap(found: list[Run], ratios: Floats) -> list[Run]:
    """The clearest runs of each path; two may share a corner."""
    kept: dict[int, list[Run]] = {}
    for run in sorted(found, key=lambda each: -each.clear(float(ratios[each.track]))):
        others = kept.setdefault(run.track, [])
        if all(run.first >= other.last or run.last <= other.first for other in others):
            others.append(run)
    return [run for runs in kept.values() for run in runs]
