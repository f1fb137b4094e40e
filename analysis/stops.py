# SPDX-License-Identifier: GPL-3.0-or-later
"""Where points come to rest, and whether they ease into it or stop dead.

A point is at rest from a sample on when its next steps are all next to nothing beside the
fastest of its recent ones. It stops dead when the drop of its speed to nothing is larger than
any drop just before: an ease slows down first. Where frames are short, the last step may be cut
by the stop itself, so that the step before it counts as well. A hard start is the same, played
backwards.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# At rest: steps under this share of the fastest step of the last quarter of a second, for two
# frames at 24 a second, and four at least; and slower than this share of the speed from which
# on stops are judged (2.5 cm/s at 1.7 m): beside a strike, a moving hold is next to nothing too.
REST_SHARE, RECENT_S, REST_S, LEAST_REST = 0.03, 0.25, 1.0 / 12.0, 4
HOLD_SHARE = 0.125
# A dead stop drops by so many times the largest drop of speed within two frames at 24 a second
# before it. A 3-frame move between flat handles, the quickest that is eased at all, drops to
# rest by 1.17 times of what it slowed before.
DROP_RATIO, BEFORE_S = 1.25, 1.0 / 12.0
# It stops from so much of the recent pace at least, and keeps no more than so much of its speed.
LEAST_SHARE, DEAD_SHARE = 0.15, 0.08
# It has moved before, by so much of its speed on each of three steps, or for two frames at 24 a
# second, and those led on by so much of their length: what moves for less pops, or trembles.
MOVES_SHARE, LEAST_MOVES, ONWARD_SHARE = 0.1, 3, 0.4
# Its other steps in the last quarter of a second have this share of its speed in the mean: one
# step far beyond all others is a pop, as where a lost track is found again.
OTHERS_SHARE = 0.2
# A stop takes no longer than one frame at 24 a second; one that takes several samples must
# drop by twice as much.
ONE_FRAME_S, SLOWER_RATIO = 1.0 / 24.0, 2.0


@dataclass(frozen=True, eq=False)
class Stops:
    """What comes to rest at each sample, for paths (T,...,3):

    rests (T,...)     True where a point that moved comes to rest: the sample is its first there
    hard (T,...)      True where it stops dead there
    speed (T,...)     metres a second that it stops from
    recent (T,...)    its fastest speed of the last quarter of a second, metres a second
    """

    rests: Bools
    hard: Bools
    speed: Floats
    recent: Floats


def rest_steps(dt_s: float) -> int:
    """Steps that a point must lie still, to be at rest."""
    return max(round(REST_S / dt_s), LEAST_REST)


def told_by(dt_s: float) -> int:
    """Samples before a stop that tell how it slowed down."""
    return max(round(BEFORE_S / dt_s), 2) + 2 * _lags(dt_s) - 1


def find_stops(paths: Floats, dt_s: float, least_m_s: float) -> Stops:
    """Stops of points on paths (T,...,3), metres, from `least_m_s` or more.

    The first two samples and the last `rest_steps` are never judged: there is too little
    before or after. Shorter paths give nothing.
    """
    shape = paths.shape[:-1]
    rests, hard = np.zeros(shape, dtype=bool), np.zeros(shape, dtype=bool)
    speed, recent = np.zeros(shape), np.zeros(shape)
    still = rest_steps(dt_s)
    if len(paths) >= still + 4:
        # For a rest that begins at each of these samples, the last step before and those after.
        at, before = slice(2, -still), slice(1, -still)
        pace = np.linalg.norm(np.diff(paths, axis=0), axis=-1) / dt_s
        after = _largest(pace[::-1], still)[::-1][2 : len(pace) - still + 1]
        recent[at] = _largest(pace, max(round(RECENT_S / dt_s), LEAST_REST))[before]
        rest = np.minimum(REST_SHARE * recent[at], HOLD_SHARE * least_m_s)
        rests[at] = (recent[at] >= least_m_s) & (after < rest) & (pace[before] >= rest)
        speed[at] = _dead_speed(paths, pace, after, recent[at], dt_s)
        hard[at] = rests[at] & (speed[at] >= least_m_s)
        speed[~hard] = 0.0
    return Stops(rests, hard, speed, recent)


def _dead_speed(paths: Floats, pace: Floats, after: Floats, recent: Floats, dt_s: float) -> Floats:
    """The speed that each rest begins from at once; 0 where it is eased into."""
    before = slice(1, -rest_steps(dt_s))
    moves = _moves(paths, pace * dt_s, max(round(REST_S / dt_s), LEAST_MOVES))[before] / dt_s
    others = _others(pace, max(round(RECENT_S / dt_s), LEAST_REST))[before]
    best = np.zeros_like(after)
    for lag in range(1, _lags(dt_s) + 1):
        speed, drop = (each[before] for each in _drops(pace, lag, max(round(BEFORE_S / dt_s), 2)))
        ratio = DROP_RATIO if lag == 1 else SLOWER_RATIO * DROP_RATIO
        dead = (speed >= ratio * drop) & (speed >= LEAST_SHARE * recent)
        dead &= (after <= DEAD_SHARE * speed) & (moves >= MOVES_SHARE * speed)
        dead &= others >= OTHERS_SHARE * _largest(pace, lag)[before]
        best = np.where(dead, np.maximum(best, speed), best)
    return best


def _lags(dt_s: float) -> int:
    """Steps that a stop may take."""
    return max(int(ONE_FRAME_S / dt_s + 0.01), 1)


def _largest(values: Floats, width: int) -> Floats:
    """(N,...) the largest of each value and the `width` - 1 before it."""
    best = values.copy()
    for shift in range(1, min(width, len(values))):
        best[shift:] = np.maximum(best[shift:], values[:-shift])
    return best


def _moves(paths: Floats, steps: Floats, width: int) -> Floats:
    """(N,...) the smallest of each step and the `width` - 1 before it; 0 where those steps
    together do not lead on, and where fewer are known."""
    least, total = steps.copy(), steps.copy()
    for shift in range(1, width):
        least[shift:] = np.minimum(least[shift:], steps[:-shift])
        total[shift:] += steps[:-shift]
    way = np.zeros_like(steps)
    way[width - 1 :] = np.linalg.norm(paths[width:] - paths[:-width], axis=-1)
    return np.where(way >= ONWARD_SHARE * total, least, 0.0)


def _others(pace: Floats, width: int) -> Floats:
    """(N,...) the mean of the `width` - 1 values before each, of those that there are."""
    total = np.cumsum(np.concatenate((np.zeros_like(pace[:1]), pace)), axis=0)
    at = np.arange(len(pace))
    first = np.maximum(at - width + 1, 0)
    counts = np.maximum(at - first, 1).reshape(-1, *[1] * (pace.ndim - 1))
    return np.asarray((total[at] - total[first]) / counts)


def _drops(pace: Floats, lag: int, before: int) -> tuple[Floats, Floats]:
    """For a stop after each step (N,...): the speed `lag` - 1 steps earlier, and the largest
    drop of speed over `lag` steps of the `before` that end there; infinite where unknown."""
    drop = np.full_like(pace, np.inf)
    drop[lag:] = pace[:-lag] - pace[lag:]
    drop = _largest(drop, before)
    speed, earlier = np.zeros_like(pace), np.full_like(pace, np.inf)
    speed[lag - 1 :] = pace[: len(pace) - lag + 1]
    earlier[lag - 1 :] = drop[: len(pace) - lag + 1]
    return speed, earlier
