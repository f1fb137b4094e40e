# SPDX-License-Identifier: GPL-3.0-or-later
"""Hang: how much of a rise and fall is spent near its top.

Under gravity a body is in the top quarter of its rise for half of the time of the rise, and
the same for its fall: time above the share f of the apex is T sqrt(1-f) (from h = g T^2 / 8;
Bosco, Luhtanen & Komi 1983, Eur J Appl Physiol 50:273-282). Taking rise and fall apart makes
this hold for any piece of a free path that has its apex inside, wherever it begins and ends.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

TOP_SHARE = 0.25
# Under gravity.
FREE_SHARE = 0.5
# Samples on either side of the apex, below which neither rise nor fall has a shape.
LEAST_ON_A_SIDE = 2
# Where one of the two has less, yet as many as the first of these, the other one is judged alone
# if it has as many as the second.
LEAST_BESIDE, LEAST_ALONE = 1, 5
# Points that are put between two samples to find times between frames.
BETWEEN = 20


@dataclass(frozen=True)
class Hang:
    """apex    place of the highest point, in samples, with a fraction
    height  of the apex
    share   share of the time that is spent in the top quarter of the rise and of the fall
    part    "rise" or "fall" where that one alone is judged; else empty
    """

    apex: float
    height: float
    share: float
    part: str = ""

    def samples(self, count: int) -> float:
        """How many of a path's samples the share is a share of."""
        return {"rise": self.apex, "fall": count - 1 - self.apex}.get(self.part, count)


def hang_of(heights: Floats) -> Hang | None:
    """Apex and hang of a path of heights (N,), evenly spaced in time.

    None where it does not rise and fall: the apex lies within two samples of an end.
    Between samples the path is a cubic through its four neighbours.
    """
    fine = _between(np.asarray(heights, dtype=np.float64))
    top = int(np.argmax(fine))
    apex = top / BETWEEN
    if min(apex, len(heights) - 1 - apex) < LEAST_ON_A_SIDE:
        return None
    near = sum(
        float(np.mean(side > fine[top] - TOP_SHARE * (fine[top] - end))) * (len(side) - 1)
        for side, end in ((fine[: top + 1], fine[0]), (fine[top:], fine[-1]))
    )
    return Hang(apex=apex, height=float(fine[top]), share=near / (len(fine) - 1))


def hang_of_a_side(heights: Floats) -> Hang | None:
    """Apex and hang of a path of heights (N,) whose apex is near an end: of its longer side.

    None where the apex is no sample from the end, so that it may lie outside, or the longer side
    is under five samples.
    """
    fine = _between(np.asarray(heights, dtype=np.float64))
    top = int(np.argmax(fine))
    apex, after = top / BETWEEN, len(heights) - 1 - top / BETWEEN
    if min(apex, after) < LEAST_BESIDE or max(apex, after) < LEAST_ALONE:
        return None
    falls = after > apex
    side, end = (fine[top:], fine[-1]) if falls else (fine[: top + 1], fine[0])
    share = float(np.mean(side > fine[top] - TOP_SHARE * (fine[top] - end)))
    return Hang(apex, float(fine[top]), share, "fall" if falls else "rise")


def _between(heights: Floats) -> Floats:
    """The path with `BETWEEN` - 1 points between any two samples: cubics through four samples."""
    count = len(heights)
    if count < 4:
        place = np.arange((count - 1) * BETWEEN + 1) / BETWEEN
        return np.interp(place, np.arange(count), heights)
    place = np.arange((count - 1) * BETWEEN + 1) / BETWEEN
    start = np.clip(np.floor(place).astype(int) - 1, 0, count - 4)
    u = place - start  # 0..3 within the four samples
    weights = (
        -(u - 1) * (u - 2) * (u - 3) / 6.0,
        u * (u - 2) * (u - 3) / 2.0,
        -u * (u - 1) * (u - 3) / 2.0,
        u * (u - 1) * (u - 2) / 6.0,
    )
    return np.asarray(sum(w * heights[start + k] for k, w in enumerate(weights)))
