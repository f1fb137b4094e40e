# SPDX-License-Identifier: GPL-3.0-or-later
"""How far paths break over a loop's seam, and how far the loop itself lets them.

A third of the fourth difference is, for a plain jump, the size of the jump; for a change of
speed it is two thirds of what is travelled more in a sample. A path breaks when it is larger
over the seam than anywhere else in the round: for the body itself and for its other side, since
what one hand or foot does at the seam (it lands, it turns round) the other does half a stride
later.
"""

import itertools

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .parts import LEG, split_part
from .seam import Seam, fourth_differences

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Of the height: what counts as still, for a part and for all bodies together, whose trembles
# even out.
FLOOR_SHARE, WHOLE_FLOOR_SHARE = 3e-4, 1e-4
# From this many samples a second on, every other one is looked at as well: a change of speed
# shows twice as much there, and a capture's tremble does not.
COARSE_FPS = 45.0
# A break is one of all bodies when the middle one of them makes this share of it.
AGREED_SHARE = 0.5
MOST_SPIKES, LONE_SHARE, SAMPLES_A_SPIKE = 3, 0.2, 16
# What one side does is what the other does where it is at most this many times as large.
ALIKE = 2.0
_OTHER = {"L": "R", "R": "L"}


def path_breaks(basis: Basis, seam: Seam, marks: Floats) -> tuple[Floats, Floats]:
    """(B,3) each: the jump that each path (L+12,B,3,3) seems to make, and what is usual for it.

    Of the two spacings of samples the one that shows the break more clearly.
    """
    found = [_breaks(basis, seam, marks, apart) for apart in _spacings(seam)]
    size, usual = found[0]
    for other_size, other_usual in found[1:]:
        clearer = other_size * usual > size * other_usual
        size, usual = np.where(clearer, other_size, size), np.where(clearer, other_usual, usual)
    return size, usual


def whole_break(basis: Basis, seam: Seam, bodies: list[int]) -> tuple[float, float]:
    """The jump that some bodies make together, and what is usual for them, metres.

    Their joints' fourth differences are averaged, each weighted by how smooth its path is in
    the rest of the round (one over its mean square), as measurements of unequal precision are.
    The size is 0 where most bodies do not jump along: then it is no break of all of them.
    """
    best = (0.0, 1.0)
    floor = WHOLE_FLOOR_SHARE * basis.height.scene_m
    for apart in _spacings(seam):
        jumps = fourth_differences(seam.marks[:, bodies, 0], apart) / 3.0
        over = seam.over_seam(apart)
        weights = 1.0 / (np.mean(np.sum(jumps[~over] ** 2, axis=-1), axis=0) + floor**2)
        together = np.einsum("b,tbx->tx", weights / weights.sum(), jumps)
        distance = np.linalg.norm(together, axis=-1)
        at = int(np.argmax(np.where(over, distance, 0.0)))
        along = float(np.median(jumps[at] @ together[at])) / max(float(distance[at]), 1e-12)
        agreed = along >= AGREED_SHARE * distance[at]
        usual = floor + _without_pops(distance[~over])
        best = max(best, (float(distance[at]) * agreed, usual), key=lambda each: each[0] / each[1])
    return best


def _breaks(basis: Basis, seam: Seam, marks: Floats, apart: int) -> tuple[Floats, Floats]:
    distance = np.linalg.norm(fourth_differences(marks, apart), axis=-1) / 3.0
    over = seam.over_seam(apart)
    inside, size = distance[~over], distance[over].max(axis=0)
    most = inside.max(axis=0)
    calm = most.copy()
    for body, each in enumerate(basis.bodies):
        if split_part(each.part or "")[0] not in LEG:
            calm[body] = [_without_pops(inside[:, body, mark]) for mark in range(3)]
    other = _other_sides(basis)
    theirs = np.where(_alike(inside, size, other), most[other], calm[other])
    return size, FLOOR_SHARE * basis.height.scene_m + np.maximum(calm, theirs)


def _alike(inside: Floats, size: Floats, other: list[int]) -> Bools:
    """(B,3) where a single spike on the other side is no pop, but what this side does at the seam.

    It is about as large, and at its moment this side is calm: else both are carried.
    """
    most, moment = inside.max(axis=0)[other], inside.argmax(axis=0)[other]
    bodies, marks = np.indices(moment.shape)
    return np.asarray((most <= ALIKE * size) & (inside[moment, bodies, marks] < 0.5 * most))


def _spacings(seam: Seam) -> tuple[int, ...]:
    return (1, 2) if seam.dt_s * COARSE_FPS < 1.0 else (1,)


def _other_sides(basis: Basis) -> list[int]:
    """For each body the one of its other side, or itself."""
    found = []
    for n, body in enumerate(basis.bodies):
        kind, side = split_part(body.part or "")
        other = basis.body(f"{kind}.{_OTHER[side]}") if side in _OTHER else None
        found.append(n if other is None else other)
    return found


def _without_pops(inside: Floats) -> float:
    """The largest value of a cycle once up to three lone spikes are left out, one in 16 samples.

    A stray key inside the cycle must not excuse a broken seam. Spikes are lone when what
    remains is less than a fifth of them. (Not asked of legs: there landing feet are spikes.)
    """
    rest, peaks = inside.copy(), []
    for _spike in range(min(MOST_SPIKES, len(inside) // SAMPLES_A_SPIKE) + 1):
        at = int(np.argmax(rest))
        peaks.append(float(rest[at]))
        rest[max(at - 4, 0) : at + 5] = 0.0
    for spike, remains in itertools.pairwise(peaks):
        if remains < LONE_SHARE * spike:
            return remains
    return peaks[0]
