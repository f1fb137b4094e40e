# SPDX-License-Identifier: GPL-3.0-or-later
"""Leave samples out of a path, predict them from their neighbours, see what is left.

A block of `width` samples is predicted by a polynomial through `reach` samples on either
side. The block's residual says how far it lies from the path of its neighbours; the
residual that is *left* when the block is replaced by its prediction says how smooth the
path is without it. A pop has a large residual and leaves little; fast but honest motion
leaves as much as it had.

Both are linear in the samples, so each is one matrix product over sliding windows.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Neighbours on either side, and the polynomial's degree, by block width.
REACH = {1: 3, 2: 4, 3: 4}
DEGREE = {1: 4, 2: 4, 3: 4}
# The residual that is left is looked for this many samples on either side of the block.
NEARBY = 4
# Starts that are worked on at a time: windows overlap, so all at once would take much memory.
CHUNK = 512


@dataclass(frozen=True, eq=False)
class LeftOut:
    """For a block that starts at each sample (T, ...):

    offset (T,W,...,3)   sample minus prediction, for the W samples of the block
    size (T,...)         the largest length of those
    left (T,...)         the largest residual nearby once the block is repaired
    Starts whose block does not lie inside the clip have size 0.
    """

    offset: Floats
    size: Floats
    left: Floats


def leave_out(values: Floats, width: int = 1) -> LeftOut:
    """Leave every block of `width` samples out of paths (T, ..., 3).

    The first and the last sample of a clip are never judged (there is no path on both
    sides), and beyond the ends the path is continued by point reflection, which keeps
    position and velocity. Clips shorter than 2 * REACH + width + 2 give zeros.
    """
    count, shape = len(values), values.shape[1:]
    flat = np.asarray(values, dtype=np.float64).reshape(count, -1)
    reach = REACH[width]
    if count < 2 * reach + width + 2:
        zeros = np.zeros((count, *shape[:-1]))
        return LeftOut(np.zeros((count, width, *shape)), zeros, zeros.copy())
    margin = NEARBY + reach
    padded = reflect(flat, margin)
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * margin + width, axis=0)
    pieces = [
        _leave_out(windows[start : start + CHUNK], width, shape)
        for start in range(0, len(windows), CHUNK)
    ]
    offset, size, left = (np.concatenate(each) for each in zip(*pieces, strict=True))
    return LeftOut(*(_full(each, count, width) for each in (offset, size, left)))


def _leave_out(
    windows: Floats, width: int, shape: tuple[int, ...]
) -> tuple[Floats, Floats, Floats]:
    """Offsets, sizes and what is left for the blocks of some windows (starts, paths, window)."""
    predict, left = _matrices(width)
    offset = (windows @ predict.T).transpose(0, 2, 1).reshape(-1, width, *shape)
    rest = (windows @ left.T).transpose(0, 2, 1).reshape(len(windows), -1, *shape)
    return offset, _largest(offset), _largest(rest)


def _largest(vectors: Floats) -> Floats:
    """(starts, N, ..., 3) -> (starts, ...) the largest length of N vectors."""
    return np.asarray(np.sqrt(np.einsum("...i,...i->...", vectors, vectors).max(axis=1)))


def _full(starts: Floats, count: int, width: int) -> Floats:
    """Bring results per start to one row a sample; the end samples are not judged."""
    result = np.zeros((count, *starts.shape[1:]))
    result[1 : count - width] = starts[1 : count - width]
    return result


def reflect(flat: Floats, margin: int) -> Floats:
    """Continue a series on both sides by point reflection; short series reflect their ends."""
    index = np.minimum(np.arange(margin, 0, -1), len(flat) - 1)
    before = 2.0 * flat[0] - flat[index]
    after = 2.0 * flat[-1] - flat[len(flat) - 1 - index[::-1]]
    return np.concatenate((before, flat, after))


def leave_one_out() -> Floats:
    """(1, 2 reach + 1) weights of one sample minus its prediction by its neighbours."""
    return block_residual(1, REACH[1])


@lru_cache(maxsize=8)
def _matrices(width: int) -> tuple[Floats, Floats]:
    """(width, window): block residuals; (blocks*width, window): what is left after repair."""
    reach = REACH[width]
    margin = NEARBY + reach
    window = 2 * margin + width
    block = block_residual(width, reach)
    predict = np.zeros((width, window))
    predict[:, margin - reach : margin + width + reach] = block
    repair = np.eye(window)
    repair[margin : margin + width] -= predict
    rows = []
    for shift in range(-NEARBY, NEARBY + 1):
        shifted = np.zeros((width, window))
        start = margin + shift - reach
        shifted[:, start : start + width + 2 * reach] = block
        rows.append(shifted @ repair)
    return predict, np.concatenate(rows)


@lru_cache(maxsize=8)
def block_residual(width: int, reach: int) -> Floats:
    """(width, width + 2 reach) matrix: samples of the block minus their prediction."""
    offsets = np.arange(-reach, width + reach, dtype=np.float64)
    inside = (offsets >= 0) & (offsets < width)
    powers = np.vander(offsets, DEGREE[width] + 1, increasing=True)
    weights = powers[inside] @ np.linalg.pinv(powers[~inside])
    matrix = np.zeros((width, len(offsets)))
    matrix[:, inside] = np.eye(width)
    matrix[:, ~inside] = -weights
    return matrix
