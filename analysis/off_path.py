# SPDX-License-Identifier: GPL-3.0-or-later
"""How far samples lie off the path of their neighbours, and how smooth that path is.

A block of one to three samples is left out and predicted as in `leave_out`. That is cheap for
all samples of all paths (`sizes`); what it takes to judge a block (`look_at`) is worked out for
chosen blocks only. With a stride above 1 every so many samples are looked at, in all phases, as
if the path had been sampled at a lower rate: a stray key's bump of a frame at 24 a second is
three to five samples wide at 60.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from .leave_out import NEARBY, block_residual

Floats = NDArray[np.float64]

# The fewest samples that a stride leaves of a second.
LEAST_FPS = 24.0
# Samples on either side that predict a block.
REACH = 3
# Samples beside a block on either side that a one-sided path is drawn through.
BESIDE = 4


@dataclass(frozen=True)
class Block:
    """So many samples, so far apart."""

    width: int
    stride: int = 1

    @property
    def margin(self) -> int:
        """Samples of the path on either side that are needed."""
        return (NEARBY + REACH) * self.stride

    @property
    def covers(self) -> int:
        """Samples of the path from the block's first to its last."""
        return (self.width - 1) * self.stride + 1


class Places(NamedTuple):
    """Where blocks start: samples, bodies and marks; arrays (N,) or numbers."""

    at: Any
    body: Any
    mark: Any


@dataclass(frozen=True, eq=False)
class Seen:
    """N blocks, in the path's unit. The block's two sides come first before, then after.

    offset (N,W,D)   the block's samples minus their prediction
    size (N,)        the largest length of those
    left (N,)        the residual that is left nearby once the block is repaired: root mean square
    most (N,)        the same: the largest
    step (N,)        what the repaired path goes from sample to sample nearby, on average
    share (N,2)      how far the block is off the path of one side, along `offset`, as a share
    error (N,2)      how badly that path foretold its own last sample, as a share of `offset`
    gap (N,)         from the sample before the block to the one after it, per step
    beside (N,)      the larger of the two steps next to it, on the side where it is smaller
    """

    offset: Floats
    size: Floats
    left: Floats
    most: Floats
    step: Floats
    share: Floats
    error: Floats
    gap: Floats
    beside: Floats


def strides(fps: float) -> tuple[int, ...]:
    """The strides to look at paths with: 1, and 2, 4 ... where enough samples a second remain."""
    found = [1]
    while fps / (2 * found[-1]) >= LEAST_FPS - 1e-6:
        found.append(2 * found[-1])
    return tuple(found)


def sizes(padded: Floats, block: Block) -> Floats:
    """(T,...) how far the block that starts at each sample is off; 0 where it does not fit.

    padded (T+2*margin,...,D) is the path and what lies beyond its ends
    """
    count = len(padded) - 2 * block.margin
    fits = count - block.covers + 1
    found = np.zeros((count, *padded.shape[1:-1]))
    if fits <= 0:
        return found
    first = block.margin - REACH * block.stride
    for row in block_residual(block.width, REACH):
        off = np.zeros((fits, *padded.shape[1:]))
        for tap in np.flatnonzero(row):
            start = first + int(tap) * block.stride
            off += row[tap] * padded[start : start + fits]
        found[:fits] = np.maximum(found[:fits], np.linalg.norm(off, axis=-1))
    return found


def usual(found: Floats, reach: int, places: Places) -> Floats:
    """(N,) the median of `sizes` within `reach` samples of some places, reflected at the ends."""
    last = len(found) - 1
    around = np.abs(places.at[:, None] + np.arange(-reach, reach + 1))
    around = np.clip(np.minimum(around, 2 * last - around), 0, last)
    values = found[around, places.body[:, None], places.mark[:, None]]
    return np.asarray(np.median(values, axis=1))


def look_at(paths: tuple[Floats, ...], block: Block, places: Places) -> Seen:
    """What is to be known of blocks.

    paths   padded as for `sizes`; where there are several continuations beyond the ends, the
            one that leaves the path smoothest tells what is left
    """
    half = NEARBY + REACH
    taps = block.margin + block.stride * np.arange(-half, half + block.width)
    around = places.at[:, None] + taps
    seen = [
        look(path[around, places.body[:, None], places.mark[:, None]], block.width)
        for path in paths
    ]
    seen[0].left[:] = np.min([each.left for each in seen], axis=0)
    seen[0].most[:] = np.min([each.most for each in seen], axis=0)
    return seen[0]


def look(windows: Floats, width: int) -> Seen:
    """The same for the blocks in the middle of windows (N, 2*(NEARBY+REACH)+width, D)."""
    first = NEARBY + REACH
    last = first + width - 1
    residual = block_residual(width, REACH)
    offset = np.einsum("wk,nkd->nwd", residual, windows[:, first - REACH : last + 1 + REACH])
    repaired = windows.copy()
    repaired[:, first : last + 1] -= offset
    steps = np.linalg.norm(np.diff(repaired[:, first - 4 : last + 5], axis=1), axis=-1)
    before = windows[:, first - BESIDE : first][:, ::-1]
    after = windows[:, last + 1 : last + 1 + BESIDE]
    sides = [
        _one_sided(windows[:, first], before, offset[:, 0]),
        _one_sided(windows[:, last], after, offset[:, -1]),
    ]
    beside = [
        np.linalg.norm(np.diff(each[:, :3], axis=1), axis=-1).max(axis=1)
        for each in (before, after)
    ]
    left, most = _left(repaired, residual)
    return Seen(
        offset=offset,
        size=np.linalg.norm(offset, axis=-1).max(axis=1),
        left=left,
        most=most,
        step=steps.mean(axis=1),
        share=np.stack([share for share, _error in sides], axis=1),
        error=np.stack([error for _share, error in sides], axis=1),
        gap=np.linalg.norm(after[:, 0] - before[:, 0], axis=-1) / (width + 1),
        beside=np.minimum(*beside),
    )


def _left(repaired: Floats, residual: Floats) -> tuple[Floats, Floats]:
    """(N,) root mean square and largest of the residuals of all blocks in windows (N,L,D)."""
    blocks = np.lib.stride_tricks.sliding_window_view(repaired, residual.shape[1], axis=1)
    rest = np.einsum("wk,nbdk->nbwd", residual, blocks)
    square = np.einsum("nbwd,nbwd->nbw", rest, rest).max(axis=2)
    return np.sqrt(square.mean(axis=1)), np.sqrt(square.max(axis=1))


def _one_sided(sample: Floats, beside: Floats, offset: Floats) -> tuple[Floats, Floats]:
    """Share and error, see `Seen`, of the better of a straight and a parabolic path.

    sample (N,D), beside (N,4,D) the samples next to it, the nearest first, offset (N,D)
    """
    one, two, three, four = (beside[:, k] for k in range(4))
    square = np.maximum(np.einsum("nd,nd->n", offset, offset), 1e-300)
    shares, errors = [], []
    for expected, foretold in (
        (2.0 * one - two, 2.0 * two - three),
        (3.0 * one - 3.0 * two + three, 3.0 * two - 3.0 * three + four),
    ):
        shares.append(np.einsum("nd,nd->n", sample - expected, offset) / square)
        errors.append(np.linalg.norm(one - foretold, axis=-1) / np.sqrt(square))
    straight = errors[0] <= errors[1]
    return np.where(straight, *shares), np.where(straight, *errors)
