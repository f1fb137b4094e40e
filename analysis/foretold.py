# SPDX-License-Identifier: GPL-3.0-or-later
"""Blocks of samples that are left out and foretold twice: by a curve and by a straight line.

The curve is a polynomial of degree four through three samples on either side, the line goes from
the sample before the block to the one after it. What is off both, on the same side, lies outside
of what its neighbours allow; motion that turns sharply is off the curve alone, motion that goes
round evenly off the line alone.

A window is W+6 samples: a block of W with `REACH` samples on either side.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .leave_out import block_residual
from .off_path import REACH

Floats = NDArray[np.float64]


@lru_cache(maxsize=4)
def foretellers(width: int) -> tuple[Floats, Floats]:
    """Two matrices (W,W+6): a block's samples minus the curve, and minus the straight line."""
    line = np.zeros((width, width + 2 * REACH))
    after = np.arange(1, width + 1) / (width + 1)
    line[:, REACH : REACH + width] = np.eye(width)
    line[:, REACH - 1] = after - 1.0
    line[:, REACH + width] = -after
    return block_residual(width, REACH), line


def residuals(windows: Floats, width: int) -> list[Floats]:
    """Twice (N,W,D): the blocks of windows (N,W+6,D) minus the curve, and minus the line."""
    return [np.einsum("wk,nkd->nwd", row, windows) for row in foretellers(width)]


def least(ways: list[Floats]) -> Floats:
    """(N,W) what samples are off at least, by several signed residuals; 0 where their signs
    differ."""
    values = np.stack(ways)
    same = np.abs(np.sign(values).sum(axis=0)) == len(ways)
    return np.asarray(np.where(same, np.abs(values).min(axis=0), 0.0))


def flicks_by(windows: Floats, width: int) -> Floats:
    """(N,) how far the blocks of windows (N,W+6,3) are off curve and line alike, along what they
    are off the curve."""
    curve, line = residuals(windows, width)
    size = np.linalg.norm(curve, axis=-1)
    along = np.sum(line * curve, axis=-1) / np.maximum(size, 1e-12)
    return np.asarray(np.minimum(size, np.maximum(along, 0.0)).max(axis=1))


def repaired_steps(windows: Floats, curve: Floats) -> Floats:
    """(N,W+5) lengths from sample to sample of windows (N,W+6,3) whose blocks lie on the curve;
    curve (N,W,3) is what they are off it."""
    repaired = windows.copy()
    repaired[:, REACH : REACH + curve.shape[1]] -= curve
    return np.asarray(np.linalg.norm(np.diff(repaired, axis=1), axis=-1))
