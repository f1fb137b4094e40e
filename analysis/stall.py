# SPDX-License-Identifier: GPL-3.0-or-later
"""Stalls: a point stands dead for a few samples of its path and makes up for it at once.

Dead samples are left out and predicted by a polynomial through the samples on either side.
A stall hides travel (the dead point lies far off that prediction), the path is smooth once it
is repaired, the point hardly moves while it is dead, and one step beside the dead samples, the
catch-up, is longer than the steps around. Where a point turns back, slow at the extreme, the
prediction turns back as well; where it lands or stops, nothing is caught up.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Samples on either side that predict, the polynomial's degree, and how far beside the block the
# residual that is left is looked for.
REACH, DEGREE, NEARBY = 4, 4, 4
# Steps before the block and after it that the catch-up is compared with; steps that tell whether
# the point slows down towards its stop.
BESIDE, SLOWING = 2, 3
# The catch-up makes up for the dead steps: what keeps less than this share of its part of it is
# looked at more closely.
_SLOW_SHARE = 0.5
MARGIN = REACH + NEARBY


@dataclass(frozen=True, eq=False)
class Stalls:
    """C stalls on paths (T,B,M,3); some overlap.

    body, mark (C,)   whose path; start, width (C,): the samples that are wrong
    dead (C,)         the first of the `width` steps that are dead (sample to next sample)
    hidden (C,3)      the largest way from where the point is to where it should be, and on
                      which sample `worst` (C,)
    size (C,)         its length; left (C,) the largest residual nearby once it is repaired
    pace (C,)         mean step while it is dead over the mean step that was predicted
    step (C,)         that predicted step
    burst (C,)        the step that catches up; after (C,) whether it follows the dead samples
    beside (C,)       the longest of the two steps before the block and the two after it
    arrives (C,)      the longest of those two on the other side than the catch-up, and
    leaves (C,)       on its side
    slows (C,)        the last step before it is dead over the longest of the last three; where
                      it waits after its catch-up, the first of the three after that
    """

    body: Ints
    mark: Ints
    start: Ints
    width: Ints
    dead: Ints
    hidden: Floats
    worst: Ints
    size: Floats
    left: Floats
    pace: Floats
    step: Floats
    burst: Floats
    beside: Floats
    arrives: Floats
    leaves: Floats
    slows: Floats
    after: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.body)

    def where(self, keep: NDArray[np.bool_] | Ints) -> "Stalls":
        """Those of them that are kept (C,), or that are meant, in that order."""
        return Stalls(*(value[keep] for value in vars(self).values()))


def find_stalls(paths: Floats, widths: range, *, least: float) -> Stalls:
    """All stalls of some widths (samples) on paths (T,B,M,3) that hide `least` metres or more.

    The samples within REACH of the ends are not judged; beyond the ends the paths are continued
    by point reflection where what is left nearby is looked for.
    """
    if len(paths) <= 2 * REACH:
        return _none()
    steps = np.linalg.norm(np.diff(paths, axis=0), axis=-1)
    total = np.concatenate((np.zeros((1, *steps.shape[1:])), np.cumsum(steps, axis=0)))
    padded = _reflect(paths, MARGIN)
    found = [
        _of_width(padded, steps, total, width, after, least)
        for width in widths
        for after in (True, False)
        if len(paths) >= 2 * REACH + width
    ]
    if not found:
        return _none()
    columns = zip(*(vars(each).values() for each in found), strict=True)
    return Stalls(*(np.concatenate(column) for column in columns))


def _of_width(
    padded: Floats, steps: Floats, total: Floats, width: int, after: bool, least: float
) -> Stalls:
    """Stalls of one width whose catch-up follows the dead samples, or comes before them."""
    first, last = REACH, len(steps) - REACH - width
    start = np.arange(first, last + 2)
    start = start[(start >= first) & (start + width + REACH <= len(steps) + 1)]
    if not len(start):
        return _none()
    dead = start - 1 if after else start
    here = slice(int(dead[0]), int(dead[-1]) + 1)
    burst = _later(steps, here, width if after else -1)
    went = _later(total, here, width) - total[here]
    slow = went <= _SLOW_SHARE * width / (width + 1) * burst
    at, body, mark = np.nonzero((burst >= least) & slow)
    if not len(at):
        return _none()
    windows = np.stack(
        [padded[start[at] + k, body, mark] for k in range(2 * MARGIN + width)], axis=1
    )
    predict, repair, left = _matrices(width)
    off = predict @ windows
    sizes = np.linalg.norm(off, axis=-1)
    worst = np.argmax(sizes, axis=1)
    row = np.arange(len(at))
    mended = np.linalg.norm(np.diff(repair @ windows, axis=1), axis=-1)
    expected = np.maximum(mended[:, MARGIN - 1 : MARGIN + width].mean(axis=1), 1e-12)
    inside = (total[dead[at] + width, body, mark] - total[dead[at], body, mark]) / width
    own = np.linalg.norm(np.diff(windows, axis=1), axis=-1)
    before = own[:, MARGIN - 1 - BESIDE : MARGIN - 1].max(axis=1)
    beyond = own[:, MARGIN + width : MARGIN + width + BESIDE].max(axis=1)
    found = Stalls(
        body=body,
        mark=mark,
        start=start[at],
        width=np.full(len(at), width),
        dead=dead[at],
        hidden=-off[row, worst],
        worst=start[at] + worst,
        size=sizes[row, worst],
        left=np.linalg.norm(left @ windows, axis=-1).max(axis=1),
        pace=inside / expected,
        step=expected,
        burst=burst[at, body, mark],
        beside=np.maximum(before, beyond),
        arrives=before if after else beyond,
        leaves=beyond if after else before,
        slows=_slows(own, width, after),
        after=np.full(len(at), after),
    )
    return found.where(found.size >= least)


def _later(values: Floats, here: slice, shift: int) -> Floats:
    """Values (T,...) so many samples after those of a stretch."""
    return values[here.start + shift : here.stop + shift]


def _slows(steps: Floats, width: int, after: bool) -> Floats:
    """Of windows' steps (C,N): the one next to the dead samples over the longest of three."""
    if after:
        near = steps[:, MARGIN - 1 - SLOWING : MARGIN - 1][:, ::-1]
    else:
        near = steps[:, MARGIN + width : MARGIN + width + SLOWING]
    return np.asarray(near[:, 0] / np.maximum(near.max(axis=1), 1e-12))


def _none() -> Stalls:
    ints, floats = np.zeros(0, dtype=np.int64), np.zeros(0)
    return Stalls(
        body=ints,
        mark=ints,
        start=ints,
        width=ints,
        dead=ints,
        hidden=np.zeros((0, 3)),
        worst=ints,
        size=floats,
        left=floats,
        pace=floats,
        step=floats,
        burst=floats,
        beside=floats,
        arrives=floats,
        leaves=floats,
        slows=floats,
        after=np.zeros(0, dtype=bool),
    )


def _reflect(paths: Floats, margin: int) -> Floats:
    """Continue paths on both sides by point reflection; short ones reflect their ends."""
    index = np.minimum(np.arange(margin, 0, -1), len(paths) - 1)
    before = 2.0 * paths[0] - paths[index]
    after = 2.0 * paths[-1] - paths[len(paths) - 1 - index[::-1]]
    return np.concatenate((before, paths, after))


@lru_cache(maxsize=16)
def _matrices(width: int) -> tuple[Floats, Floats, Floats]:
    """For a window of MARGIN samples on either side of a block of `width`:

    (width, window) sample minus prediction, (window, window) the repaired window, and
    (blocks * width, window) what is left for blocks nearby once it is repaired.
    """
    window = 2 * MARGIN + width
    block = _block_residual(width)
    predict = np.zeros((width, window))
    predict[:, NEARBY : NEARBY + block.shape[1]] = block
    repair = np.eye(window)
    repair[MARGIN : MARGIN + width] -= predict
    rows = []
    for shift in range(-NEARBY, NEARBY + 1):
        shifted = np.zeros((width, window))
        shifted[:, NEARBY + shift : NEARBY + shift + block.shape[1]] = block
        rows.append(shifted @ repair)
    return predict, repair, np.concatenate(rows)


def _block_residual(width: int) -> Floats:
    """(width, width + 2 REACH) matrix: samples of the block minus their prediction."""
    places = np.arange(-REACH, width + REACH, dtype=np.float64) / (width + REACH)
    inside = np.zeros(len(places), dtype=bool)
    inside[REACH : REACH + width] = True
    powers = np.vander(places, DEGREE + 1, increasing=True)
    matrix = np.zeros((width, len(places)))
    matrix[:, inside] = np.eye(width)
    matrix[:, ~inside] = -powers[inside] @ np.linalg.pinv(powers[~inside])
    return matrix
