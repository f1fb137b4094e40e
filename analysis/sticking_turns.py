# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a path of orientations holds still in the middle of a turn, and then catches up.

A path sticks where it stands for some samples though it turns before and after, and then
turns in a sample or two as far as it should have turned meanwhile. An eased hold is none: it
slows down before and starts slowly afterwards.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Frozen: so little of the turn that the sticking hides, or of what goes on beside it, a sample.
# What still creeps by more than the second share must have stopped with a jerk as well: else it
# is a moving hold.
FROZEN_SHARE, CREEPS_SHARE = 0.1, 0.05
# Steps that are frozen at the least; and seconds that it may last: what lasts longer is a hold.
FEWEST, LONGEST_S = 3, 0.5
# It catches up within two frames of a film at 24; where a pose is shown for longer than a tenth
# of a second, no turn is a snap.
CATCH_UP_S, COARSEST_S = 2.0 / 24.0, 0.1
# Each of the steps in which it catches up is this share of the largest of them.
ALIKE_SHARE = 0.35
# Steps on either side that say how it turns there; they turn by this share of the hidden pace.
BESIDE, BESIDE_SHARE = 4, 0.2
# It is no eased hold: the last step before it as a share of the largest of those before, or the
# first after it as a share of the next, is this large; or the two together.
ABRUPT_SHARE, ABRUPT_TOGETHER = 0.6, 0.9
# It pops where it comes back but for this share of the burst.
BACK_SHARE = 0.3
# A snap: it catches up so many times as fast as it turns beside.
SNAPS = 2.0


@dataclass(frozen=True)
class Stuck:
    """It stands from sample `first` to `last`, and has caught up at sample `end`.

    burst   degrees that it catches up; excess: without what it would have turned anyway
    pace    degrees a sample that it should have turned meanwhile
    before  degrees a sample that it turned just before
    frozen  degrees that it still turns in a sample while it stands, at most
    snaps   whether it catches up much faster than it turns beside
    """

    first: int
    last: int
    end: int
    burst: float
    excess: float
    pace: float
    before: float
    frozen: float
    snaps: bool


def most_to_catch_up(dt_s: float) -> int:
    """Samples that it may take to catch up; 0 where they are too far apart to say."""
    return max(1, round(CATCH_UP_S / dt_s)) if dt_s <= COARSEST_S else 0


def find_stuck(steps: Floats, dt_s: float, least_deg: float) -> list[Stuck]:
    """Every place where a path of turns (T-1,3), degrees, sticks and catches up.

    Bursts from `least_deg` on; places do not overlap, the clearest are kept.
    """
    sizes = np.linalg.norm(steps, axis=-1)
    most = most_to_catch_up(dt_s)
    found: list[Stuck] = []
    for last in _starts(sizes, most, least_deg):
        for width in range(1, min(most, len(steps) - last) + 1):
            if np.linalg.norm(steps[last : last + width].sum(axis=0)) >= least_deg:
                stuck = _stuck(steps, sizes, last, width, dt_s)
                found += [] if stuck is None else [stuck]
    return _apart(found)


def _starts(sizes: Floats, most: int, least_deg: float) -> list[int]:
    """Samples from which a burst may start: after steps that are small beside it."""
    if most == 0 or len(sizes) <= FEWEST:
        return []
    gone = np.concatenate(([0.0], np.cumsum(sizes)))
    until = np.minimum(np.arange(FEWEST, len(sizes)) + most, len(sizes))
    burst = gone[until] - gone[FEWEST:-1]
    small = sizes[FEWEST - 1 : -1].copy()
    for back in range(2, FEWEST + 1):
        np.maximum(small, sizes[FEWEST - back : -back], out=small)
    fits = (burst >= least_deg) & (small <= FROZEN_SHARE * burst / (FEWEST + 1))
    return (np.flatnonzero(fits) + FEWEST).tolist()


def _stuck(steps: Floats, sizes: Floats, last: int, width: int, dt_s: float) -> Stuck | None:
    burst = float(np.linalg.norm(steps[last : last + width].sum(axis=0)))
    fast = sizes[last : last + width]
    if fast.min() < ALIKE_SHARE * fast.max() or _comes_back(steps, sizes, last, last + width):
        return None
    longest = round(LONGEST_S / dt_s)
    frozen = np.maximum.accumulate(sizes[max(last - longest - 1, 0) : last][::-1])
    lengths = np.arange(1, len(frozen) + 1)
    fits = lengths[(frozen <= FROZEN_SHARE * burst / (lengths + width)) & (lengths >= FEWEST)]
    if len(fits) == 0 or fits[-1] > longest:
        return None
    length = int(fits[-1])
    first, end = last - length, last + width
    before, after = sizes[max(first - BESIDE, 0) : first], sizes[end : end + BESIDE]
    around = np.concatenate((before, after))
    pace, beside = burst / (length + width), float(around.mean()) if len(around) else 0.0
    if beside < BESIDE_SHARE * pace or beside == 0.0:
        return None
    creeps = float(frozen[length - 1]) / min(pace, beside)
    stops, starts = _stops(before), _starts_fast(sizes, last)
    abrupt = max(stops, starts) >= ABRUPT_SHARE or stops + starts >= ABRUPT_TOGETHER
    if creeps > FROZEN_SHARE or not abrupt or (creeps > CREEPS_SHARE and stops < ABRUPT_SHARE):
        return None
    fresh = float(before[-2:].max(initial=0.0))
    snaps = burst / width >= SNAPS * around.max()
    excess = burst - width * beside
    return Stuck(
        first, last, end, burst, excess, pace, fresh, float(frozen[length - 1]), bool(snaps)
    )


def _comes_back(steps: Floats, sizes: Floats, last: int, end: int) -> bool:
    """Whether it turns back to where it stood within a step or two, and stays: then it pops."""
    burst = float(np.linalg.norm(steps[last:end].sum(axis=0)))
    for back in (1, 2):
        rest = sizes[end + back : end + back + 2]
        off = float(np.linalg.norm(steps[last : end + back].sum(axis=0)))
        if off <= BACK_SHARE * burst and rest.max(initial=0.0) <= BACK_SHARE * burst:
            return True
    return False


def _stops(before: Floats) -> float:
    """The last step before it stands, as a share of the largest before."""
    return float(before[-1] / max(before.max(), 1e-9)) if len(before) else 0.0


def _starts_fast(sizes: Floats, last: int) -> float:
    """The first step after it stood, as a share of the next where that is larger."""
    after = float(sizes[last + 1]) if last + 1 < len(sizes) else 0.0
    return float(sizes[last]) / max(after, float(sizes[last]), 1e-9)


def _apart(found: list[Stuck]) -> list[Stuck]:
    """Of places that overlap the one that catches up most, in time's order."""
    kept: list[Stuck] = []
    for stuck in sorted(found, key=lambda s: (-round(s.excess, 6), s.end)):
        if all(stuck.first >= other.end or stuck.end <= other.first for other in kept):
            kept.append(stuck)
    return sorted(kept, key=lambda s: s.first)
