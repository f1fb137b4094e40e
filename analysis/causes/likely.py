# SPDX-License-Identifier: GPL-3.0-or-later
"""What a key would likely be, by its neighbours and by how the other channels go there.

A cubic through the two keys before and the two after (Lagrange) tells a first guess. How far the
group's other keys are off theirs, and how far the other channels are off such cubics on the same
frames, tells what to add: poses are keyed as wholes, so that what bends one control at a pose bends
others too. That is kernel ridge regression (Saunders, Gammerman & Vovk 1998), its ridge chosen by
how well keys are told with their neighbours left out.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from .groups import SAME_FRAME, Group
from .own_path import LEAST_LEVER_SHARE
from .repairs import values_of
from .values import in_keys, off_as_played

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Keys on either side that make the first guess: what is said of the next ones hangs on them.
REACH = 2
# Fewer other keys tell nothing of how the channels go together.
LEAST_KEYS = 4
# Ridges that are tried, against kernels of about one; beside them, no channel but the group's own.
RIDGES = (0.03, 0.1, 0.3, 1.0)
# What keys are missed by with their neighbours left out, against what one is with them (from trials
# on half A).
TOO_MUCH = 0.4
# A channel that is off by no more of the height tells nothing (.2 mm at 1.7 m).
STILL_SHARE = 0.0001


@dataclass(frozen=True, eq=False)
class Likely:
    """values (K,) of the group's channels on a key's frame, in their units, and `miss`: by how much
    they may be off, root mean square over the channels' units together."""

    values: Floats
    miss: float


def likely(basis: Basis, group: Group, frame: float) -> Likely | None:
    """What the group's channels would be on a key's frame; None at ends and among few keys."""
    clip = basis.clip
    if clip.channel_values is None:
        return None
    samples = _samples(basis, group)
    at = np.flatnonzero(np.abs(basis.frames[samples] - frame) <= SAME_FRAME)
    if len(at) == 0 or not 0 < at[0] < len(samples) - 1 or len(samples) < 2 * REACH + 1:
        return None
    n, frames = int(at[0]), basis.frames[samples]
    values = clip.channel_values[samples]
    own = list(group.columns)
    guess, size = _guesses(frames)
    off = (values - guess @ values) / size[:, None]
    kernel = _kernel(basis, off, size, [k for k in range(values.shape[1]) if k not in own])
    more, miss = _more(off[:, own], kernel, n)
    return Likely((guess @ values)[n, own] + size[n] * more, float(size[n] * miss))


def _samples(basis: Basis, group: Group) -> Ints:
    """Samples on which the group has keys."""
    keys = np.asarray(group.frames)
    near = np.abs(basis.frames[:, None] - keys[None, :]) <= SAME_FRAME
    return np.flatnonzero(near.any(axis=1))


def _guesses(frames: Floats) -> tuple[Floats, Floats]:
    """(N,N) how each key's cubic is made of the others' values, and (N,) what it misses by: as the
    frames to its neighbours multiplied. The first and the last key are their own guess."""
    count = len(frames)
    guess, size = np.eye(count), np.ones(count)
    for n in range(1, count - 1):
        near = [k for k in range(max(n - REACH, 0), min(n + REACH, count - 1) + 1) if k != n]
        apart = frames[near] - frames[n]
        guess[n] = 0.0
        for k, here in zip(near, apart, strict=True):
            others = apart[apart != here]
            guess[n, k] = np.prod(others / (others - here))
        size[n] = (frames[n] - frames[n - 1]) * (frames[n + 1] - frames[n])
    return guess, size


def _kernel(basis: Basis, off: Floats, size: Floats, others: list[int]) -> Floats:
    """(N,N) how alike the other channels are off their guesses on two keys' frames."""
    names = [basis.clip.channels[k].rpartition("|")[2] for k in others]
    height = basis.height.scene_m
    lever_m = 2.0 * LEAST_LEVER_SHARE * height
    metres = np.array([1.0 if name.startswith("location") else lever_m for name in names])
    way = np.sqrt(((off[1:-1, others] * size[1:-1, None]) ** 2).mean(axis=0)) * metres
    moving = [k for k, each in zip(others, way, strict=True) if each > STILL_SHARE * height]
    if not moving:
        return np.zeros((len(off), len(off)))
    told = off[:, moving] / np.sqrt((off[1:-1, moving] ** 2).mean(axis=0))
    return np.asarray(told @ told.T / len(moving))


def _more(off: Floats, kernel: Floats, n: int) -> tuple[Floats, float]:
    """(K,) what the other channels add to a key's guess, and what that misses by."""
    known = np.array([k for k in range(1, len(off) - 1) if abs(k - n) > REACH], dtype=np.int64)
    if len(known) < LEAST_KEYS:
        return np.zeros(off.shape[1]), np.inf
    there = off[known]
    best, least = np.zeros(off.shape[1]), float((there**2).sum())
    for ridge in RIDGES:
        ridged = kernel[np.ix_(known, known)] + ridge * np.eye(len(known))
        inverse = np.asarray(np.linalg.inv(ridged), dtype=np.float64)
        weights = inverse @ there
        left = float((_left_out(inverse, weights, known) ** 2).sum())
        if left < least:
            best, least = kernel[n, known] @ weights, left
    return best, float(np.sqrt(least / len(known)))


def _left_out(inverse: Floats, weights: Floats, known: Ints) -> Floats:
    """(M,K) by how much each known key is missed where its neighbours are left out with it."""
    missed = np.zeros_like(weights)
    for row, key in enumerate(known):
        block = np.flatnonzero(np.abs(known - key) <= REACH)
        alone = np.linalg.solve(inverse[np.ix_(block, block)], weights[block])
        missed[row] = alone[block == row][0]
    return missed


def likely_off(
    basis: Basis, group: Group, frame: float, smoothest: Floats
) -> tuple[Floats, float | None]:
    """(K,) what a key's values gain to be as is likely, and by what share of it that may miss.

    Half of the way to those that leave its curves smoothest as they play (`smoothest` as `bump` has
    it) and half to what the other keys and channels tell: where the two agree they are right, as a
    rule. Without the latter the former, and None.
    """
    played = off_as_played(basis, group, frame, smoothest)
    told, values = likely(basis, group, frame), basis.clip.channel_values
    if told is None or values is None:
        return played, None
    at = int(np.argmin(np.abs(basis.frames - frame)))
    gain = told.values - values[at, list(group.columns)]
    off = in_keys(group, frame, np.where(np.isnan(values_of(group, frame)), 0.0, gain))
    if off is None:
        return played, None
    whole = max(float(np.linalg.norm(played + off)) / 2.0, 1e-12)
    apart = float(np.linalg.norm(played - off)) / whole
    missed = told.miss / whole if np.isfinite(told.miss) else 0.0
    return 0.5 * (played + off), max(apart, TOO_MUCH * missed)
