# SPDX-License-Identifier: GPL-3.0-or-later
"""How much of its time an arc is near its top, told between the frames.

Near is the outer quarter of each of its two ways, each measured from its own end. Of a free path
that is half of the time (Galilei: 3/4 of a rise take the first half of its time; the same as
Bosco, Luhtanen & Komi 1983 have it), of a sine a third, of even spacing a quarter.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

OUTER = 0.25
# A sample that lies nearer to an end of its way than this, in samples, tells nothing besides.
APART = 0.05
# By so many halvings a time is told to a millionth of a frame.
HALVINGS = 20


def seconds_near(
    values: Floats, end: tuple[float, float], top: tuple[float, float]
) -> tuple[float, float]:
    """How long one way of an arc lasts, and how long of that it is near the top, in samples.

    values (T,)   what goes to and fro, larger towards the top
    end, top      when (samples, with fractions) and how far: where the way ends, and the top
    """
    times, reached = _nodes(values, end, top)
    level = top[1] - OUTER * (top[1] - end[1])
    below = int(np.argmax(reached < level)) if (reached < level).any() else len(times) - 1
    lasts = abs(end[0] - top[0])
    if below == 0:
        return lasts, 0.0
    return lasts, abs(_crossing(times, reached, below, level) - top[0])


def _nodes(
    values: Floats, end: tuple[float, float], top: tuple[float, float]
) -> tuple[Floats, Floats]:
    """Times and values of a way from its top on to its end."""
    low, high = sorted((end[0], top[0]))
    inside = np.arange(int(np.floor(low)), int(np.ceil(high)) + 1, dtype=np.int64)
    inside = inside[(inside > low + APART) & (inside < high - APART)]
    times = np.concatenate(([low], inside, [high]))
    ends = sorted((end, top))
    reached = np.concatenate(([ends[0][1]], values[inside], [ends[1][1]]))
    return (times, reached) if top[0] <= end[0] else (times[::-1], reached[::-1])


def _crossing(times: Floats, reached: Floats, below: int, level: float) -> float:
    """When a way comes down to a level between a node and the one before: by the cubic through
    the four nodes around."""
    first = int(np.clip(below - 2, 0, max(len(times) - 4, 0)))
    start = float(times[below - 1])
    nodes = times[first : first + 4] - start
    cubic = np.linalg.solve(np.vander(nodes), reached[first : first + 4] - level).tolist()
    high, low = 0.0, float(times[below]) - start
    for _ in range(HALVINGS):
        middle, value = 0.5 * (high + low), 0.0
        for factor in cubic:
            value = value * middle + factor
        high, low = (middle, low) if value >= 0.0 else (high, middle)
    return start + 0.5 * (high + low)
