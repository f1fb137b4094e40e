# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a path turns back, and where it changes its way at once: at a bounce, from step to step."""

import numpy as np
from numpy.typing import NDArray

from .extremes import zigzag

Floats = NDArray[np.float64]

# A corner changes the way so many times as much as what goes on two samples away ...
_STANDS_OUT = 4.0
# ... and, in one step, leads so many times as far away as the error allows.
_LEAST = 2.0


def turning_points(samples: Floats, least: float) -> list[int]:
    """Samples at which any column (T,D) is highest or lowest before it turns back by `least`
    or more; of a stretch that stays there, its middle."""
    found: set[int] = set()
    for column in samples.T:
        found.update(_middle(column, at) for at in zigzag(column.tolist(), least)[1:-1])
    return sorted(found)


def _middle(values: Floats, at: int) -> int:
    """Of the samples in a row that are as high as this one, the first."""
    last = at
    while last + 1 < len(values) and values[last + 1] == values[at]:
        last += 1
    return (at + last) // 2


def find_corners(samples: Floats, error: float) -> list[int]:
    """Samples at which the slope of a path (T,D) jumps.

    The slope before and after a sample, each by the parabola through three samples, are the same
    on any parabola. Where both sides of a corner lie between two samples, these are two corners.
    """
    count = len(samples)
    if count < 5:
        return []
    jump = np.zeros(count)
    before = 1.5 * samples[2:] - 2.0 * samples[1:-1] + 0.5 * samples[:-2]
    after = -1.5 * samples[:-2] + 2.0 * samples[1:-1] - 0.5 * samples[2:]
    jump[2:-2] = np.linalg.norm(after[2:] - before[:-2], axis=1)
    big = np.flatnonzero(jump > _LEAST * error).tolist()
    return [n for n in big if _stands_out(jump, n)]


def _stands_out(jump: Floats, n: int) -> bool:
    """Whether a jump is a corner's: none beside it is much larger, further off it goes evenly."""
    near = jump[max(0, n - 1) : n + 2].max()
    # Of the first two samples and the last two, no jump is known.
    low, high = max(2, n - 2), min(n + 3, len(jump) - 2)
    sides = (jump[max(2, n - 4) : low], jump[high : max(high, min(n + 5, len(jump) - 2))])
    around = max((float(side.max()) for side in sides if len(side)), default=0.0)
    return bool(jump[n] > 0.6 * near and jump[n] > _STANDS_OUT * around)
