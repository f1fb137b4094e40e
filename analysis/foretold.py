# SPDX-License-Identifier: GPL-3.0-or-later
"""Blocks of samples that are left out and foretold: by a curve and by straight lines.

The curve is a polynomial of degree four through three samples on either side, the chord goes from
the sample before the block to the one after it, and two more lines go on from the two samples
before, and back from the two after. What is off curve and chord, on the same side, lies outside of
what its neighbours allow; motion that turns sharply is off the curve alone, motion that goes round
evenly off the chord alone. At the bottom of a dip the chord lies so high that what sticks out of
the dip is hardly off it; but there it is off both other lines.

A window is W+6 samples: a block of W with `REACH` samples on either side.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .leave_out import block_residual
from .off_path import REACH

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# The lines of both sides are asked where each foretells its own last sample to within this share of
# how far the block is off the curve.
FORETOLD = 0.6


@lru_cache(maxsize=4)
def foretellers(width: int) -> tuple[Floats, Floats, Floats, Floats]:
    """Matrices (W,W+6): a block's samples minus the curve, the chord, and the lines from before and
    from after."""
    own = np.eye(width, width + 2 * REACH, REACH)
    after = np.arange(1.0, width + 1.0)
    chord, before = own.copy(), own.copy()
    chord[:, REACH - 1] = after / (width + 1) - 1.0
    chord[:, REACH + width] = -after / (width + 1)
    before[:, REACH - 1] = -after - 1.0
    before[:, REACH - 2] = after
    return block_residual(width, REACH), chord, before, before[::-1, ::-1]


def residuals(windows: Floats, width: int) -> list[Floats]:
    """Four times (N,W,D): the blocks of windows (N,W+6,D) minus what `foretellers` say."""
    return [np.einsum("wk,nkd->nwd", row, windows) for row in foretellers(width)]


def off_all(series: list[list[Floats]], straight: Bools) -> Floats:
    """(N,W) what samples are off at least, as several series of signed residuals (N,W), each of
    `foretellers`, tell it: off curve and chord; or off the curve and both sides' lines, of blocks
    (N,) beside which both sides go straight."""
    curve, chord, before, after = (list(ways) for ways in zip(*series, strict=True))
    beside = np.where(straight[:, None], least(curve + before + after), 0.0)
    return np.maximum(least(curve + chord), beside)


def both_straight(windows: Floats, curve: Floats) -> Bools:
    """(N,) whether on either side of the blocks of windows (N,W+6,D) the line through two samples
    foretells the one next to the block; curve (N,W,D) is what the blocks are off the curve."""
    turns = np.linalg.norm(np.diff(windows, n=2, axis=1), axis=-1)
    allowed = FORETOLD * np.linalg.norm(curve, axis=-1).max(axis=1)
    return np.asarray(np.maximum(turns[:, 0], turns[:, -1]) <= allowed)


def least(ways: list[Floats]) -> Floats:
    """(N,W) what samples are off at least, by several signed residuals; 0 where their signs
    differ."""
    values = np.stack(ways)
    same = np.abs(np.sign(values).sum(axis=0)) == len(ways)
    return np.asarray(np.where(same, np.abs(values).min(axis=0), 0.0))


def flicks_by(windows: Floats, width: int) -> Floats:
    """(N,) how far the blocks of windows (N,W+6,3) are off curve and chord alike, along what they
    are off the curve."""
    curve, chord = residuals(windows, width)[:2]
    size = np.linalg.norm(curve, axis=-1)
    along = np.sum(chord * curve, axis=-1) / np.maximum(size, 1e-12)
    return np.asarray(np.minimum(size, np.maximum(along, 0.0)).max(axis=1))


def repaired_steps(windows: Floats, curve: Floats) -> Floats:
    """(N,W+5) lengths from sample to sample of windows (N,W+6,3) whose blocks lie on the curve;
    curve (N,W,3) is what they are off it."""
    repaired = windows.copy()
    repaired[:, REACH : REACH + curve.shape[1]] -= curve
    return np.asarray(np.linalg.norm(np.diff(repaired, axis=1), axis=-1))
