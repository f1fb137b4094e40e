# SPDX-License-Identifier: GPL-3.0-or-later
"""The slopes through keys by which cubics between them come nearest to a path."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# How much a slope is held to that between neighbouring samples: next to nothing, so that it counts
# only where no sample lies between keys to tell more.
_HELD = 1e-6


@dataclass(frozen=True, eq=False)
class Slopes:
    """before, after (K,D) on either side of each key, a sample; the same through smooth keys."""

    before: Floats
    after: Floats

    def cut(self, low: int, high: int) -> "Slopes":
        """Of the keys from `low` up to `high`."""
        return Slopes(self.before[low:high], self.after[low:high])

    def replaced(
        self, low: int, high: int, new: "Slopes", *, is_first: bool, is_last: bool
    ) -> "Slopes":
        """With others from `low` up to `high`, but for the outer sides of a part's ends."""
        before, after = new.before.copy(), new.after.copy()
        if not is_first:
            before[0] = self.before[low]
        if not is_last:
            after[-1] = self.after[high - 1]
        return Slopes(
            np.concatenate((self.before[:low], before, self.before[high:])),
            np.concatenate((self.after[:low], after, self.after[high:])),
        )


def hermite(at: Ints, values: Floats, before: Floats, after: Floats) -> Floats:
    """(N,D) the cubics through keys at samples (K,), on each sample from 0 to the last key."""
    segment, share, gap = _places(at)
    h00, h01, h10, h11 = _weights(share)
    one = h00[:, None] * values[segment] + h01[:, None] * values[segment + 1]
    two = h10[:, None] * after[segment] + h11[:, None] * before[segment + 1]
    return np.asarray(one + gap[:, None] * two)


def fit_slopes(
    samples: Floats,
    at: Ints,
    corner: Bools,
    *,
    first: Floats | None = None,
    last: Floats | None = None,
) -> Slopes:
    """The slopes at keys (K,) that bring the path nearest to samples (T,D) between them.

    corner (K,)   keys that have a slope of their own on either side
    first, last   (D,) slopes that are given at the first key and at the last
    """
    diagonal, beside, right, before, after = _equations(samples, at, corner)
    if first is not None:
        diagonal[0], right[0] = diagonal[0] + 1e12, right[0] + 1e12 * first
    if last is not None:
        diagonal[-1], right[-1] = diagonal[-1] + 1e12, right[-1] + 1e12 * last
    found = _solved(diagonal, beside, right)
    return Slopes(found[before], found[after])


def _places(at: Ints) -> tuple[Ints, Floats, Floats]:
    """Of each sample from the first key to the last: its segment, where in it, and its length."""
    samples = np.arange(at[-1] - at[0] + 1)
    segment = np.clip(np.searchsorted(at - at[0], samples, side="right") - 1, 0, len(at) - 2)
    gap = np.diff(at)[segment].astype(np.float64)
    return segment, (samples - (at - at[0])[segment]) / gap, gap


def _weights(u: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """What both ends and both slopes count for, at a share of the way (cubic Hermite)."""
    square, cube = u**2, u**3
    h01 = 3.0 * square - 2.0 * cube
    return 1.0 - h01, h01, cube - 2.0 * square + u, cube - square


def _equations(
    samples: Floats, at: Ints, corner: Bools
) -> tuple[Floats, Floats, Floats, Ints, Ints]:
    """The normal equations: one unknown a smooth key, two a corner, each bound to the next alone.

    Returns the diagonal (N,), what stands beside it (N-1,), the right side (N,D), and which unknown
    is the slope before and after each key (K,).
    """
    before = np.arange(len(at)) + np.concatenate(([0], np.cumsum(corner[:-1])))
    after = before + corner
    segment, share, gap = _places(at)
    h00, h01, h10, h11 = _weights(share)
    ends = samples[at]
    part = samples[at[0] : at[-1] + 1]
    rest = part - h00[:, None] * ends[segment] - h01[:, None] * ends[segment + 1]
    one, two = gap * h10, gap * h11
    count = int(after[-1]) + 1
    first, second = after[:-1], before[1:]
    diagonal, right = np.full(count, _HELD), np.zeros((count, samples.shape[1]))
    beside = np.zeros(max(0, count - 1))
    np.add.at(diagonal, first[segment], one * one)
    np.add.at(diagonal, second[segment], two * two)
    np.add.at(beside, first[segment], one * two)
    np.add.at(right, first[segment], one[:, None] * rest)
    np.add.at(right, second[segment], two[:, None] * rest)
    guess = _guessed(samples, at, corner)
    right[before] += _HELD * guess.before
    right[after[corner]] += _HELD * guess.after[corner]
    return diagonal, beside, right, before, after


def _guessed(samples: Floats, at: Ints, corner: Bools) -> Slopes:
    """What neighbouring samples say: of both sides where they go through, else of one."""
    last = len(samples) - 1
    low, high = np.maximum(at - 1, 0), np.minimum(at + 1, last)
    through = (samples[high] - samples[low]) / np.maximum(high - low, 1)[:, None]
    edges = np.array(sorted({0, last, *at[corner].tolist()}))
    whole = np.searchsorted(edges, at)
    # At least two samples without a corner between tell how the slope itself changes.
    left = np.where((at - edges[np.maximum(whole - 1, 0)] >= 2)[:, None], 1.0, 0.0)
    upper = edges[np.minimum(np.searchsorted(edges, at, side="right"), len(edges) - 1)]
    right = np.where((upper - at >= 2)[:, None], 1.0, 0.0)
    back, ahead = samples[at] - samples[low], samples[high] - samples[at]
    bent_back = samples[at] - 2.0 * samples[low] + samples[np.maximum(at - 2, 0)]
    bent_ahead = samples[np.minimum(at + 2, last)] - 2.0 * samples[high] + samples[at]
    alone = corner | (at == 0) | (at == last)
    before = np.where(alone[:, None], back + 0.5 * left * bent_back, through)
    after = np.where(alone[:, None], ahead - 0.5 * right * bent_ahead, through)
    before[at == 0], after[at == last] = after[at == 0], before[at == last]
    return Slopes(before, after)


def _solved(diagonal: Floats, beside: Floats, right: Floats) -> Floats:
    """(N,D) the answer of equations with three diagonals (Thomas 1949), symmetric, positive."""
    count = len(diagonal)
    pivot, found = diagonal.copy(), right.copy()
    for n in range(1, count):
        share = beside[n - 1] / pivot[n - 1]
        pivot[n] -= share * beside[n - 1]
        found[n] -= share * found[n - 1]
    found[-1] /= pivot[-1]
    for n in range(count - 2, -1, -1):
        found[n] = (found[n] - beside[n] * found[n + 1]) / pivot[n]
    return found
