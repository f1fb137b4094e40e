# SPDX-License-Identifier: GPL-3.0-or-later
"""Knees that flick near full reach, while hip and ankle go on smoothly.

Near full reach a few millimetres between hip and ankle move the knee by centimetres. What is
followed is the knee's way off the line from hip to ankle, of which blocks of one or two samples
are left out and predicted by their neighbours (`off_path`). A flick is the knee's own where
neither hip nor ankle jerks across the leg, and where the way that the reach goes, smooth as it
is, does not bend the knee so already.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .leave_out import reflect
from .limbs import Limb
from .off_path import REACH, Block, Places, Seen, look_at, sizes, strides, usual

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

WIDTHS = (1, 2)
# Knees on either side of a block are bent by less than this: near full reach.
NEAR_DEG = 21.0
# The knee is off by so much of the height (1.3 cm at 1.7 m), every second sample by more.
LEAST_SHARE, STRIDE = 0.0076, 1.3
# And by more than the median within so many seconds.
USUAL, USUAL_S = 1.0, 0.75
# Off the paths before and after it by at least and at most so much of that: a corner is on one.
SHARES = (0.1, 5.0)
# Ankle and hip are off their own paths by at most so much of it: across the leg, and in all.
ACROSS, IN_ALL = (0.5, 0.2), (0.6, 0.3)
# But what they are off all the time, so many times its median and no more than so many times the
# knee's, is no jerk; where they tremble so, the knee is off by so many times its own median.
TREMBLES, CAP, CLEAR = 1.8, 1.25, 5.0
# What a smooth reach does not explain, or what leaves the leg's plane, is at least so much of it.
UNEXPLAINED = 0.5


@dataclass(frozen=True, eq=False)
class Flick:
    """A block of samples first..last, `stride` apart, on which a knee is off its way.

    offset (3,)   metres at its peak; limit: what that is compared with
    aside         whether it leaves the leg's plane rather than bending
    step          what the knee goes from sample to sample against hip and ankle, metres
    """

    limb: Limb
    first: int
    last: int
    peak: int
    stride: int
    offset: Floats
    limit: float
    aside: bool
    step: float

    @property
    def size(self) -> float:
        """Metres that the knee is off."""
        return float(np.linalg.norm(self.offset))


def find_flicks(basis: Basis, limb: Limb, factor: float) -> list[Flick]:
    """A limb's flicks in time's order, of those that overlap the clearest."""
    found = [
        flick
        for stride in strides(basis.clip.fps)
        for width in WIDTHS
        for flick in _find(basis, limb, Block(width, stride), factor)
    ]
    kept: list[Flick] = []
    for flick in sorted(found, key=lambda each: -each.size / each.limit):
        if not any(_echoes(flick, other) for other in kept):
            kept.append(flick)
    return sorted(kept, key=lambda each: each.first)


def _echoes(flick: Flick, clearer: Flick) -> bool:
    """Whether a flick lies so near a clearer one that this spoils what foretells it."""
    near = REACH * flick.stride
    return flick.first <= clearer.last + near and clearer.first <= flick.last + near


def _find(basis: Basis, limb: Limb, block: Block, factor: float) -> list[Flick]:
    if len(limb.known) < 2 * REACH * block.stride + block.covers + 2:
        return []
    factor *= STRIDE if block.stride > 1 else 1.0
    least = factor * LEAST_SHARE * basis.height.scene_m
    paths = _padded(limb.off_line, block)
    size = sizes(paths, block)
    size[~_judged(limb, block)] = 0.0
    at = np.flatnonzero(size[:, 0, 0] >= least)
    if len(at) == 0:
        return []
    none = np.zeros(len(at), dtype=np.int64)
    places = Places(at, none, none)
    seen = look_at((paths,), block, places)
    reach = max(round(USUAL_S / basis.dt_s), 1)
    around = usual(size, reach, places)
    limit = np.maximum(least, factor * USUAL * around)
    share = seen.share.min(axis=1), seen.share.max(axis=1)
    back = (share[0] >= SHARES[0]) & (share[1] <= SHARES[1]) & (seen.size >= limit)
    own, aside = _is_own(limb, block, places, seen, around, reach)
    return [
        _flick(limb, block, int(at[n]), seen.offset[n], limit[n], bool(aside[n]), seen.step[n])
        for n in np.flatnonzero(back & own)
    ]


def _flick(
    limb: Limb, block: Block, first: int, offset: Floats, limit: float, aside: bool, step: float
) -> Flick:
    worst = int(np.argmax(np.linalg.norm(offset, axis=-1)))
    peak, last = first + worst * block.stride, first + block.covers - 1
    return Flick(
        limb, first, last, peak, block.stride, offset[worst], float(limit), aside, float(step)
    )


def _padded(path: Floats, block: Block) -> Floats:
    """(T+2*margin,1,1,D) a path (T,D), continued beyond its ends by point reflection."""
    return reflect(path, block.margin)[:, None, None, :]


def _judged(limb: Limb, block: Block) -> Bools:
    """(T,) blocks with known samples around them, near full reach on both sides."""
    count, reach = len(limb.known), REACH * block.stride
    judged = np.zeros(count, dtype=bool)
    starts = np.arange(reach, count - reach - block.covers + 1)
    gaps = np.concatenate(([0], np.cumsum(~limb.known)))
    whole = gaps[starts + block.covers + reach] == gaps[starts - reach]
    bend = np.degrees(limb.bend)
    after = starts + block.covers - 1 + block.stride
    near = np.maximum(bend[starts - block.stride], bend[after]) < NEAR_DEG
    judged[starts] = whole & near
    return judged


def _is_own(
    limb: Limb, block: Block, places: Places, seen: Seen, around: Floats, reach: int
) -> tuple[Bools, Bools]:
    """(N,) whether hip, ankle and the reach's smooth way leave a block to the knee itself, and
    whether the knee leaves the leg's plane."""
    inside = places.at[:, None] + block.stride * np.arange(block.width)
    line = limb.paths[inside, 2] - limb.paths[inside, 0]
    line = line / np.maximum(np.linalg.norm(line, axis=-1, keepdims=True), 1e-12)
    own, trembles = np.ones((2, len(places.at)), dtype=bool)
    for joint, across, in_all in zip((2, 0), ACROSS, IN_ALL, strict=True):
        path = _padded(limb.paths[:, joint], block)
        always = TREMBLES * usual(sizes(path, block), reach, places)
        always = np.minimum(always, CAP * seen.size)
        off = look_at((path,), block, places).offset
        square = off - np.sum(off * line, axis=-1, keepdims=True) * line
        for each, share in ((square, across), (off, in_all)):
            size = np.linalg.norm(each, axis=-1).max(axis=1)
            own &= size <= share * seen.size
            trembles &= size <= np.maximum(share * seen.size, always)
    own |= trembles & (seen.size >= CLEAR * around)
    meant = limb.off_line[inside] - seen.offset
    side = np.cross(line, meant)
    side = side / np.maximum(np.linalg.norm(side, axis=-1, keepdims=True), 1e-12)
    aside = np.abs(np.sum(seen.offset * side, axis=-1)).max(axis=1)
    bent = np.abs(_bent_by_reach(limb, block, places, inside)).max(axis=1)
    own &= np.maximum(aside, bent) >= UNEXPLAINED * seen.size
    return own, aside > bent


def _bent_by_reach(limb: Limb, block: Block, places: Places, inside: NDArray[np.int64]) -> Floats:
    """(N,W) metres off the line, minus what the smooth way of the reach would give: the law of
    cosines."""
    slack = look_at((_padded(limb.slack[:, None], block),), block, places)
    upper, lower = limb.bones[inside, 0], limb.bones[inside, 1]
    lacks = np.clip(limb.slack[inside] - slack.offset[..., 0], 0.0, None)
    span = np.maximum(upper + lower - lacks, np.abs(upper - lower) + 1e-9)
    along = (upper**2 - lower**2 + span**2) / (2.0 * span)
    meant = np.sqrt(np.maximum(upper**2 - along**2, 0.0))
    return np.asarray(np.linalg.norm(limb.off_line[inside], axis=-1) - meant)
