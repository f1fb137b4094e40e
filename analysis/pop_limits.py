# SPDX-License-Identifier: GPL-3.0-or-later
"""What counts as a pop: the numbers, and how they apply to blocks that were looked at.

All lengths are shares of the height. They were set on half of the clips of the quality corpus
(see DEVELOPERS.md) and on the same clips with noise added, so that honest motion of noisier
captures stays quiet.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .off_path import Block, Seen
from .parts import SIDES, TRUNK, split_part

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Limits:
    """How far a block must be off.

    trunk, ends     shares of the height: joints of the trunk; limbs, props and all others
    step            of what the point travels in a frame nearby
    left, usual     times what is left nearby once repaired, and times the median around
    own_left, own_usual   the same against what carries the body
    """

    trunk: float
    ends: float
    step: float
    left: float
    usual: float
    own_left: float
    own_usual: float


BY_WIDTH = {
    1: Limits(0.0076, 0.0132, 0.4, 5.0, 2.7, 5.1, 4.25),
    2: Limits(0.0265, 0.0265, 0.4, 8.0, 2.4, 9.0, 3.75),
    3: Limits(0.0265, 0.0265, 0.4, 8.0, 2.4, 9.0, 3.75),
}
# Every second sample is looked at besides all of them: a second chance, and so a stricter one.
STRIDE = 1.5
# Samples further apart than this (motion on twos) leave honest moves with corners: factor on all.
APART_S, APART = 0.05, 1.6
# So far apart, one frame holds a whole punch or kick: in it limbs go so much of the height a second
# (5 m/s at 1.7 m) and are no step yet.
QUICK_SHARE = 5.0 / 1.7
# What is off for longer than this is a move, not a pop (seconds): at 12 a second two frames.
LONGEST_S = 0.2
# A body that is off by itself so many times as clearly has popped, wherever its world path goes.
PLAINLY_ALONE = 2.0
# What is off by itself is off by this much besides: of the height, and in radians.
OWN_LEAST, OWN_LEAST_RAD = 0.003, 0.007
# A side is asked when its path foretold its own last sample to within this share of the offset.
FORETOLD = 0.6
# Where a side is not asked, a single sample is this many times the largest residual left.
HALF_KNOWN = 3.3
# And where it failed by more than this, the path is too rough for a pop to stand out.
ROUGH = 1.75
# The block is off each side that is asked by at least and at most so much of its offset.
SHARES = (0.35, 1.6)
PLAINLY = (0.6, 1.4)
# A point that stands on one side of the block and not on the other starts or stops there: the
# smaller step beside the block as a share of those across it, and the way across as a share of
# the block's size.
STANDS, CROSSES = 0.1, 0.6
# Legs next to their foot's landing or leaving: factor on all but the first two. Where both feet
# leave at once, for a flight that begins within so many samples, a leap throws them off sharply.
STRIKE, LEAP, LEAP_NEAR = 1.25, 1.6, 2
# Knees swing out and in where a steered leg comes near its full reach, clean or not: of thighs and
# shins this times what must be seen of others. Their foot shows what moves the whole leg.
KNEES = 2.0
# Within so many seconds the median is taken.
USUAL_S = 0.75


def least_sizes(basis: Basis, width: int) -> Floats:
    """(B,) metres: what a block of each body must be off at least."""
    limits = BY_WIDTH[width]
    lead = basis.lead
    shares = [
        limits.trunk if kind in TRUNK or n == lead else limits.ends
        for n, kind in enumerate(_kinds(basis))
    ]
    return np.array(shares) * knees(basis) * basis.height.scene_m


def apart(basis: Basis) -> float:
    """The factor on all limits where samples are far apart; 1 elsewhere."""
    return APART if basis.dt_s > APART_S else 1.0


def quick_ways(basis: Basis) -> Floats:
    """(B,) metres that each body may go in one frame and be quick, where frames are far apart."""
    if basis.dt_s <= APART_S:
        return np.zeros(len(basis.bodies))
    limb = np.array([kind not in TRUNK for kind in _kinds(basis)])
    limb[basis.lead] = False
    return np.asarray(limb * QUICK_SHARE * basis.dt_s * basis.height.scene_m)


def strikes(basis: Basis, lenience: Floats) -> Floats:
    """(T,B) factor on limits of legs next to where their foot lands or leaves; 1 elsewhere.

    lenience (T,B)   as of `Ends`: infinite there
    """
    near = np.isinf(lenience)
    feet = [basis.body(f"foot.{side}") for side in SIDES]
    known = [foot for foot in feet if foot is not None]
    factors = np.where(near, STRIKE, 1.0)
    for flight in basis.flights if len(known) == len(SIDES) else ():
        leaps = slice(max(flight.first - LEAP_NEAR, 0), flight.first + LEAP_NEAR)
        both = near[leaps][:, known].all(axis=1, keepdims=True)
        factors[leaps] = np.where(near[leaps] & both, LEAP, factors[leaps])
    return factors


def knees(basis: Basis) -> Floats:
    """(B,) factor on what must be seen: of thighs and shins more."""
    return np.array([KNEES if kind in ("thigh", "shin") else 1.0 for kind in _kinds(basis)])


def _kinds(basis: Basis) -> list[str]:
    """The kind of part that each body is, without its side; empty where it is none."""
    return [split_part(body.part or "")[0] for body in basis.bodies]


def hidden(seen: Seen, block: Block) -> Floats:
    """(N,) metres: what may hide in the roughness that is left nearby."""
    left = BY_WIDTH[block.width].left * seen.left
    if block.width == 1:
        half_known = (seen.error > FORETOLD).any(axis=1)
        left = np.maximum(left, np.where(half_known, HALF_KNOWN * seen.most, 0.0))
    return np.asarray(left)


def comes_back(seen: Seen, plainly: Bools | None = None) -> Bools:
    """(N,) whether a block leaves a path and comes back to it.

    Off the paths of both sides by about the same: a corner or a hard stop is on one of them, a
    step is off them by different amounts. A side whose path is too rough to foretell its own
    last sample is not asked. Blocks (N,) that must do so plainly are asked on both sides.
    """
    plainly = np.zeros(len(seen.size), dtype=bool) if plainly is None else plainly
    least, most = np.where(plainly[:, None, None], PLAINLY, SHARES).transpose(2, 0, 1)
    asked = (seen.error <= FORETOLD) | plainly[:, None]
    slack = np.where(plainly[:, None], 0.0, seen.error)
    fits = (seen.share >= least) & (seen.share <= most + slack)
    rough = (seen.error > ROUGH).any(axis=1)
    return np.asarray((fits | ~asked).all(axis=1) & ~starts(seen) & ~rough)


def starts(seen: Seen) -> Bools:
    """(N,) whether a point stands on one side of a block, and somewhere else on the other."""
    across = seen.gap * (seen.offset.shape[1] + 1)
    return np.asarray((seen.beside < STANDS * seen.gap) & (across > CROSSES * seen.size))
