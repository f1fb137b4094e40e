# SPDX-License-Identifier: GPL-3.0-or-later
"""Knees that flick near full reach, while hip and ankle go on smoothly.

Near full reach a few millimetres between hip and ankle move the knee by centimetres. Blocks of
one or two samples are left out and foretold by a curve and by straight lines (`foretold`): a flick
is off both, on the same side, where honest motion that turns sharply is off one of them.

Two things may flick. How far the knee is off the line from hip to ankle: it must be off what is
foretold from itself, and off what the law of cosines makes of the reach, so that a smooth reach
explains what it bends the knee by. And which way it points: seen along the leg, with the swing of
the leg taken out.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.tremble import noise_of
from .foretold import (
    both_straight,
    flicks_by,
    foretellers,
    off_all,
    repaired_steps,
    residuals,
)
from .knee_corners import corners_resolved, out_of_line, turns_a_corner
from .limbs import Limb
from .off_path import REACH, Block, strides

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

WIDTHS = (1, 2)
# Knees on either side of a block are bent by less than this: near full reach.
NEAR_DEG = 20.3
# A leg that is bent by less than this is at its limit. Where it goes there or leaves it within
# three samples that is a lock's matter; a leg that is there on all of them may flick.
LIMIT_DEG = 0.6
# The knee is off by so much of the height (1 cm at 1.7 m), every second sample by more.
LEAST_SHARE, STRIDE = 0.0059, 1.3
# And by so many times the median within so many seconds: captured motion that trembles.
USUAL, USUAL_S = 5.0, 0.75
# And by so many standard deviations of what both knees tremble off the lines from hip to ankle.
TREMBLES = 5.2
# It is told by differences of this order, which hardly see motion, and the smallest quarter.
ORDER, QUIET = 6, 0.25
# And by so much of what it goes from sample to sample nearby against hip and ankle, as pops must
# be: where a knee is flung through the line between them no eye sees less.
PACE = 0.25
# Off its way in space by at least so much of what it is off by its bend alone.
IN_SPACE = 0.5
# Hip and ankle flick themselves by at most so much of it: what jerks them bends the knee along.
HIP, ANKLE = 0.5, 1.5
# Samples of a block belong to a flick where they are off by so much of its most.
PART = 0.5


@dataclass(frozen=True, eq=False)
class Flick:
    """A block of samples first..last, `stride` apart, on which a knee is off its way.

    offset (3,)   metres off the curve at its peak
    clear         metres that it is off whatever foretells it; limit: what that is compared with
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
    clear: float
    aside: bool
    step: float

    @property
    def size(self) -> float:
        """Metres that the knee is off."""
        return float(np.linalg.norm(self.offset))


def knees_tremble(limbs: Sequence[Limb]) -> float:
    """Standard deviation (metres) of what legs' knees tremble, each way square to the leg."""
    paths, known = [each.off_line for each in limbs], [each.known for each in limbs]
    return noise_of(paths, known, ORDER, QUIET)


def find_flicks(basis: Basis, limb: Limb, noise: float, factor: float) -> list[Flick]:
    """A limb's flicks in time's order, of those that overlap the clearest; noise in metres."""
    found = [
        flick
        for stride in strides(basis.clip.fps)
        for width in WIDTHS
        for flick in _find(basis, limb, Block(width, stride), noise, factor)
    ]
    kept: list[Flick] = []
    for flick in sorted(found, key=lambda each: -each.clear / each.limit):
        if not any(_echoes(flick, other) for other in kept):
            kept.append(flick)
    return sorted(kept, key=lambda each: each.first)


def _echoes(flick: Flick, clearer: Flick) -> bool:
    """Whether a flick lies so near a clearer one that this spoils what foretells it."""
    near = REACH * flick.stride
    return flick.first <= clearer.last + near and clearer.first <= flick.last + near


def _find(basis: Basis, limb: Limb, block: Block, noise: float, factor: float) -> list[Flick]:
    samples = _samples(limb, block)
    if len(samples) == 0:
        return []
    off = _seen_along(limb, samples)
    curve, bent, turned = _ways(limb, samples, off, block.width)
    clear = np.maximum(bent, turned)
    most = clear.max(axis=1)
    steps = repaired_steps(off, curve).mean(axis=1)
    smallest = np.maximum(_smallest(basis, block, steps), TREMBLES * noise)
    limit = factor * _limits(basis, block, samples[:, REACH], most, smallest)
    own = most >= limit
    for joint, share in ((0, HIP), (2, ANKLE)):
        jerks = flicks_by(limb.paths[samples[own], joint], block.width)
        own[own] = jerks <= share * most[own]
    fine = corners_resolved(basis)
    found = []
    for n in np.flatnonzero(own):
        worst = int(np.argmax(clear[n]))
        wrong = samples[n, REACH + np.flatnonzero(clear[n] >= PART * most[n])]
        if not _near_reach(limb, wrong, block.stride):
            continue
        if fine and turns_a_corner(basis, limb, samples[n], float(most[n])):
            continue
        flick = Flick(
            limb=limb,
            first=int(wrong[0]),
            last=int(wrong[-1]),
            peak=int(samples[n, REACH + worst]),
            stride=block.stride,
            offset=curve[n, worst],
            limit=float(limit[n]),
            clear=float(most[n]),
            aside=bool(turned[n, worst] > bent[n, worst]),
            step=float(steps[n]),
        )
        found.append(flick)
    return found


def _samples(limb: Limb, block: Block) -> Ints:
    """(N,W+6) windows whose blocks are near full reach, of known samples."""
    count, stride = len(limb.known), block.stride
    starts = np.arange(REACH * stride, count - REACH * stride - block.covers + 1)
    samples = starts[:, None] + stride * np.arange(-REACH, block.width + REACH)
    bend = np.degrees(limb.bend)[samples]
    beside = np.delete(bend, np.s_[REACH : REACH + block.width], axis=1)
    at_limit = np.count_nonzero(beside < LIMIT_DEG, axis=1)
    judged = beside[:, REACH - 1 : REACH + 1].max(axis=1) < NEAR_DEG
    judged &= (at_limit == 0) | (at_limit == 2 * REACH)
    return np.asarray(samples[judged & limb.known[samples].all(axis=1)])


def _near_reach(limb: Limb, wrong: Ints, stride: int) -> bool:
    """Whether a leg is near full reach next to the samples that are off: of a block of two one may
    be on its way, bent far more than the sample beyond it."""
    beside = limb.bend[[wrong[0] - stride, wrong[-1] + stride]]
    return bool(np.degrees(beside).max() < NEAR_DEG)


def _ways(limb: Limb, samples: Ints, off: Floats, width: int) -> tuple[Floats, Floats, Floats]:
    """What blocks are off the curve (N,W,3), and metres (N,W) by which they are off whatever
    foretells how far the knee is bent, and which way it points."""
    inside = samples[:, REACH : REACH + width]
    ways = residuals(off, width)
    out = limb.off_line[inside] - ways[0]
    out = out / np.maximum(np.linalg.norm(out, axis=-1, keepdims=True), 1e-12)
    side = np.cross(_along(limb, inside), out)
    turned = [np.sum(each * side, axis=-1) for each in ways]
    in_space = [np.sum(each * out, axis=-1) / IN_SPACE for each in ways]
    straight = both_straight(off, ways[0])
    bent = off_all([in_space, *_bent(limb, samples, width)], straight)
    return ways[0], bent, off_all([turned], straight)


def _bent(limb: Limb, samples: Ints, width: int) -> list[list[Floats]]:
    """Metres (N,W) by which the knee is further off the line than is foretold from the reach, and
    from itself, by each of `foretellers`."""
    inside = samples[:, REACH : REACH + width]
    out, rows = np.linalg.norm(limb.off_line, axis=-1), foretellers(width)
    lacks = [limb.slack[inside] - limb.slack[samples] @ row.T for row in rows]
    by_reach = [out[inside] - out_of_line(limb.bones[inside], each) for each in lacks]
    return [by_reach, [out[samples] @ row.T for row in rows]]


def _smallest(basis: Basis, block: Block, steps: Floats) -> Floats:
    """(N,) metres that blocks that take such steps are off by at least."""
    stricter = STRIDE if block.stride > 1 else 1.0
    return np.asarray(stricter * np.maximum(LEAST_SHARE * basis.height.scene_m, PACE * steps))


def _limits(basis: Basis, block: Block, at: Ints, most: Floats, smallest: Floats) -> Floats:
    """(N,) metres, for blocks that start `at` samples and are off by `most`."""
    reach = max(round(USUAL_S / basis.dt_s), 1)
    first = REACH * block.stride
    row = np.zeros(len(basis.frames) - 2 * first - block.covers + 1)
    row[at - first] = most
    limits = smallest.copy()
    for n in np.flatnonzero(most >= smallest):
        start = max(min(int(at[n]) - first - reach, len(row) - 2 * reach - 1), 0)
        around = float(np.median(row[start : start + 2 * reach + 1]))
        limits[n] = max(smallest[n], USUAL * around)
    return limits


def _along(limb: Limb, samples: Ints) -> Floats:
    """(...,3) unit vectors from hip to ankle."""
    line = limb.paths[samples, 2] - limb.paths[samples, 0]
    return np.asarray(line / np.maximum(np.linalg.norm(line, axis=-1, keepdims=True), 1e-12))


def _seen_along(limb: Limb, samples: Ints) -> Floats:
    """(N,W+6,3) from the line to the knee, turned the shortest way by which the leg swings to
    where it is on the block's first sample."""
    along = _along(limb, samples)
    to = along[:, REACH : REACH + 1]
    axis = np.cross(along, to)
    cosine = np.sum(along * to, axis=-1, keepdims=True)
    off = limb.off_line[samples]
    once = np.cross(axis, off)
    return np.asarray(off + once + np.cross(axis, once) / np.maximum(1.0 + cosine, 1e-6))
