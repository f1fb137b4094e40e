# SPDX-License-Identifier: GPL-3.0-or-later
"""How far each joint of a spine is bent beyond its share in what the others do.

The joints of a back share a bend, each shot and rig in its own proportions. What a joint does is
therefore fitted to the mean of the others, about each axis by its own factor, with one offset
that stays small; a fault that is there for a part of the shot must not become its habit, so that
the fit leaves out what lies far off. A factor is told by how bends change, so that a joint that is
bent too far from first to last does not pass for one that bends more than the others. What is left
is the joint's own.
"""

import numpy as np
from numpy.typing import NDArray

from .spine import TWIST, Spine

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A joint is used where it bends by this over the clip, or stands bent by the second, degrees;
# noise about three axes seldom goes further than so many times its size.
USED_DEG, STANDS_DEG, NOISE_TIMES = 2.0, 3.0, 2.5
# Degrees that honest joints differ by: what lies further off counts less in the fit.
DIFFER_DEG = 4.0
# A factor is 1 (the joints bend alike) give or take this, before the shot says otherwise, and
# no more than the last; so many moments of a second say something new.
FACTOR_SD, MOST_FACTOR, MOMENTS_PER_S = 0.7, 4.0, 4.0
# A joint may stand bent by this against the others throughout: rest poses differ.
OFFSET_DEG = 6.0
# About an axis about which the others never bend by more than this, a joint that goes to and fro
# by the second, so many times, bends alone by design: the lower back does not twist.
ALONE_DEG, TO_AND_FRO_DEG, OFTEN = 1.0, 5.0, 3
# From that on what it does counts more and more, and in full where another bends by this.
BENDS_DEG = 1.5
# Percentiles between which a bend goes, and how many standard deviations of noise lie between them.
GOES, NOISE_SD = (2.0, 98.0), 4.107
# Where the others never twist, the upper back may by so many times as much.
TOP_TWIST = 1.6
# What is beyond its share is no more than so many times what a joint is bent itself.
OWN_TIMES = 1.5
_ROUNDS = 10


def used_joints(spine: Spine) -> list[int]:
    """Places in the spine of the joints that bend at all."""
    known = spine.bends[spine.valid]
    if not len(known):
        return []
    usual = np.median(known, axis=0)
    bends = np.linalg.norm(known - usual, axis=-1).max(axis=0)
    stands = np.linalg.norm(usual, axis=-1)
    least = np.hypot(USED_DEG, NOISE_TIMES * np.linalg.norm(_noise(known), axis=-1))
    return [int(k) for k in np.flatnonzero((bends > least) | (stands > STANDS_DEG))]


def beyond_share(spine: Spine, joints: list[int], dt_s: float) -> Floats:
    """(T,K,3) degrees that each of the joints is bent beyond its share; 0 for all others.

    It is no more than 1.5 times what the joint is bent itself: where one bends alone, the others
    that do not follow are not to blame. Unknown samples are 0. Needs two joints or more.
    """
    found = np.zeros_like(spine.bends)
    known = spine.valid
    for k in joints:
        others = np.stack([spine.bends[known, j] for j in joints if j != k], axis=1)
        left, own = _left_over(spine.bends[known, k], others.mean(axis=1), dt_s)
        alone = _alone(others)
        if k == joints[-1]:
            left[:, TWIST] *= 1.0 - alone[TWIST] * (1.0 - 1.0 / TOP_TWIST)
        counts = 1.0 - alone * _swings(own)
        left, own = counts * left, counts * own
        size = np.linalg.norm(left, axis=-1, keepdims=True)
        least = np.minimum(size, OWN_TIMES * np.linalg.norm(own, axis=-1, keepdims=True))
        found[known, k] = left * (least / np.maximum(size, 1e-9))
    return found


def _left_over(bend: Floats, others: Floats, dt_s: float) -> tuple[Floats, Floats]:
    """(T,3) what is left of a bend beyond factor times the others', and the bend without its
    offset.

    Only how bends change tells the factor: were it told by how they stand, too, it would explain
    a joint that is bent too far from first to last.
    """
    factor = np.ones(3)
    offset = _short(np.median(bend - others, axis=0))
    # Many samples of one slow motion say no more than a few.
    weight = max(len(bend) * dt_s * MOMENTS_PER_S, 1.0) / len(bend)
    prior = (DIFFER_DEG / FACTOR_SD) ** 2
    for _ in range(_ROUNDS):
        left = np.linalg.norm(bend - offset - factor * others, axis=-1)
        trust = (weight / (1.0 + (left / DIFFER_DEG) ** 2))[:, None]
        usual, others_usual = ((trust * each).sum(axis=0) / trust.sum() for each in (bend, others))
        changes = others - others_usual
        across = (trust * changes * (bend - usual)).sum(axis=0) + prior
        factor = across / ((trust * changes**2).sum(axis=0) + prior)
        factor = np.clip(factor, 0.0, MOST_FACTOR)
        offset = _short(usual - factor * others_usual)
    return bend - offset - factor * others, bend - offset


def _alone(others: Floats) -> Floats:
    """(3,) 1 where the others (T,K,3) never bend about an axis, 0 where one does, between else.

    Noise is no bend.
    """
    goes = np.ptp(np.percentile(others, GOES, axis=0), axis=0)
    bends = np.sqrt(np.maximum(goes**2 - (NOISE_SD * _noise(others)) ** 2, 0.0)).max(axis=0)
    return np.asarray(np.clip((BENDS_DEG - bends) / (BENDS_DEG - ALONE_DEG), 0.0, 1.0))


def _noise(bends: Floats) -> Floats:
    """(K,3) degrees, the standard deviation of the noise in bends (T,K,3).

    Independent noise of standard deviation s has third differences of sqrt(20) s (the root of the
    sum of the squared binomials 1 3 3 1); those of smooth motion are small.
    """
    if len(bends) <= 3:
        return np.zeros(bends.shape[1:])
    return np.asarray(np.sqrt((np.diff(bends, n=3, axis=0) ** 2).mean(axis=0) / 20.0))


def _swings(bend: Floats) -> Bools:
    """(3,) whether a bend (T,3) goes away from where it usually is and back, again and again."""
    away = np.abs(bend - np.median(bend, axis=0)) > TO_AND_FRO_DEG
    leaves = np.count_nonzero(away[1:] & ~away[:-1], axis=0) + away[0]
    return np.asarray(leaves >= OFTEN)


def _short(offset: Floats) -> Floats:
    """The offset, no longer than a rest pose accounts for."""
    length = float(np.linalg.norm(offset))
    return offset if length <= OFFSET_DEG else np.asarray(offset * (OFFSET_DEG / length))
