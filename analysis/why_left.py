# SPDX-License-Identifier: GPL-3.0-or-later
"""Why what is left of the force at a sample, and no contact gives, counts as no push.

The limit of a shove grows by what else is left (see `shoves`): against it soon before or after,
beside it, elsewhere in the shot. Whatever of these is largest hides it, and is told with its frame.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .outside_force import OutsideForce, beside
from .shoves import APART_S, SCENE_S, STOPS_S, rises_off

Floats = NDArray[np.float64]

STOPPED, LASTS, ELSEWHERE = "stopped", "lasts", "elsewhere"
FLIGHT, RISES, BRIEF, PRESSES, LIMBS = "flight", "rises", "brief", "presses", "limbs"
# What is less than this share of it hides nothing by itself; where both samples beside it have less
# than this, it is there on one alone; from so many body weights on what presses tells; so many
# reasons are told.
LEAST_SHARE, ALONE_SHARE, MUCH, MOST = 0.4, 0.5, 1.5, 2


@dataclass(frozen=True)
class Reason:
    """why    STOPPED: so much is left against it, at a sample within a third of a second
           LASTS: as much is left an eighth of a second before or after
           ELSEWHERE: so much is left further away in the shot
           FLIGHT: the same, where feet push off or land, and no more than they usually leave
           RISES: the body leaves the ground there
           BRIEF: it is there on one sample alone, not on two
           PRESSES: the ground gives so much there: where it does is unsure
           LIMBS: none of these; its limbs swing
    at     the sample that tells it
    left   body weights there; of PRESSES what presses
    """

    why: str
    at: int
    left: float


def why_left(
    basis: Basis, forces: OutsideForce, size: Floats, usual: Floats, at: int
) -> tuple[Reason, ...]:
    """What hides what is left at a sample, the most first; one reason or more.

    size, usual (T,)   body weights, 0 where it is not asked; what push-offs and landings leave
    """
    if rises_off(basis, forces)[at]:
        return (Reason(RISES, at, float(size[at])),)
    reasons = _what_else(basis, forces, size, usual, at)
    told = [each for each in reasons if each.left >= LEAST_SHARE * size[at]]
    if told:
        return tuple(sorted(told, key=lambda reason: -reason.left)[:MOST])
    near = np.sort(size[max(at - 1, 0) : at + 2])
    if near[:-1].max(initial=0.0) < ALONE_SHARE * size[at]:
        return (Reason(BRIEF, at, float(size[at])),)
    pressed = float(forces.felt[at, 2])
    return (Reason(PRESSES if pressed >= MUCH else LIMBS, at, max(pressed, 0.0)),)


def _what_else(
    basis: Basis, forces: OutsideForce, size: Floats, usual: Floats, at: int
) -> tuple[Reason, Reason, Reason]:
    """What else is left: against it, beside it, and elsewhere."""
    way = forces.left[at] / max(float(size[at]), 1e-9)
    along = np.where(size > 0.0, forces.left @ way, 0.0)
    away = np.abs(np.arange(len(size)) - at) * basis.dt_s
    before, after = beside(len(size), basis.dt_s)
    of_beside = np.zeros_like(size)
    for near in (before[at], after[at]):
        # What turns aside goes on; what turns round stops it.
        of_beside[near] = size[near] if along[near] > -0.5 * size[near] else 0.0
    elsewhere = _largest(ELSEWHERE, np.where((away > APART_S) & (away < SCENE_S), size, 0.0))
    if elsewhere.left <= usual[elsewhere.at]:
        elsewhere = replace(elsewhere, why=FLIGHT)
    stopped = np.where((away >= STOPS_S) & (away <= APART_S), -along, 0.0)
    return _largest(STOPPED, stopped), _largest(LASTS, of_beside), elsewhere


def _largest(why: str, left: Floats) -> Reason:
    at = int(np.argmax(left))
    return Reason(why, at, float(left[at]))
