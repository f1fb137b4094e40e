# SPDX-License-Identifier: GPL-3.0-or-later
"""Does a path leave and come back, or does it break and go on elsewhere?

Leaving samples out (see `leave_out`) finds every place where a path is not smooth. A point
that pops is off the path that leads up to it and off the path that leads away from it. A
hard stop, a bounce or a corner is on one of them; a step is on both, but they do not meet.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Samples on either side that are needed, and that are looked at.
FEWEST, MOST = 2, 3
# Off a one-sided path by this share of what the whole path says, and the point left it.
LEFT_SHARE = 0.4


@dataclass(frozen=True, eq=False)
class Step:
    """A path that goes on elsewhere: `after` is the last sample before it, offset (3,) metres."""

    after: int
    offset: Floats


def comes_back(path: Floats, start: int, offsets: Floats) -> bool:
    """Whether the block of samples from `start` is off its path on both sides.

    path (T,3), offsets (W,3): how far the block's samples lie from the path of both sides
    """
    last = start + len(offsets) - 1
    into = _least_along(_off(path, start, -1), offsets[0])
    out = _least_along(_off(path, last, 1), offsets[-1])
    return into >= LEFT_SHARE and out >= LEFT_SHARE


def find_step(path: Floats, start: int, width: int, least: float) -> Step | None:
    """The step of at least `least` metres next to the block of samples, if there is one.

    The sample after a step is off the path before it, the sample before it is off the path
    after it, by the same step in opposite directions.
    """
    steps = [_step(path, after) for after in range(start - 1, start + width)]
    found = [step for step in steps if step is not None]
    best = max(found, key=lambda step: float(np.linalg.norm(step.offset)), default=None)
    return best if best is not None and np.linalg.norm(best.offset) >= least else None


def _step(path: Floats, after: int) -> Step | None:
    if after < FEWEST - 1 or after + FEWEST >= len(path):
        return None
    ahead, back = _off(path, after + 1, -1), -_off(path, after, 1)
    offset = 0.5 * (ahead[0] + back[0])
    both = min(_least_along(ahead, offset), _least_along(back, offset))
    return Step(after, offset * both) if both >= LEFT_SHARE else None


def _off(path: Floats, at: int, side: int) -> Floats:
    """(N,3) how far a sample lies off straight and parabolic paths through those beside it."""
    beside = [at + side * k for k in range(1, MOST + 1)]
    near = [path[n] for n in beside if 0 <= n < len(path)]
    expected = []
    if len(near) >= 2:
        expected.append(2.0 * near[0] - near[1])
    if len(near) >= 3:
        expected.append(3.0 * near[0] - 3.0 * near[1] + near[2])
    return np.asarray(path[at] - np.array(expected).reshape(-1, 3))


def _least_along(off: Floats, offset: Floats) -> float:
    """The smallest of some distances along an offset, as a share of it; 0 where unknown."""
    square = float(offset @ offset)
    return float((off @ offset).min()) / square if len(off) and square > 0.0 else 0.0
