# SPDX-License-Identifier: GPL-3.0-or-later
"""Shoves: where a figure that something bears is moved suddenly by what no contact can supply.

What is left of the force by itself says little: a kick or a leap is left with .7 body weights for a
third of a second, since masses are known by a table and feet by their joints. A shove comes and
goes within a quarter of a second, stands alone in its shot, and shows best on a body that falls,
which does not move itself.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.contacts import runs
from .basis.plane_hulls import hull_gap
from .free_fall import GRAVITY
from .outside_force import LEAST_PRESSURE, OutsideForce, beside
from .turning_moment import own_swing

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Limits in body weights, of how far what is left stands out from what it is an eighth of a second
# before and after: of a body that falls and of one that does not (times its weights that the ground
# gives, if more than one: what is unsure of places counts by what presses there); and what is added
# for each body weight that is left elsewhere in the shot, and that its limbs are thrown with. Who
# falls has limbs thrown by so much without moving them.
FALLING, STANDING = 0.08, 0.16
BY_FALLING, BY_STANDING, BY_SWING = 0.6, 1.0, 0.3
LIMP = 0.3
# It falls where it sinks faster than this (8.5 cm/s at 1.7 m; also where its centre of mass is so
# far (10 cm) outside of what bears it, unless it rises) and the ground gives less than its weight.
SINKS_SHARE, OVER_SHARE, LESS = 0.085 / 1.7, 0.1 / 1.7, 0.97
# Who is so low over what bears him (31 cm) crawls or lies.
LOW_SHARE = 0.18
# What lies further away than this belongs to another move; so much further is another scene.
APART_S, SCENE_S = 0.35, 4.0
# Who moves himself stops himself, a push does not: what is left against it, nearer than that and
# from here on, is added to the limit.
STOPS_S = 0.08
# The swing of the limbs is told from this much around, without the shove itself.
SWING_S, SHOVE_S = 0.6, 0.15


@dataclass(frozen=True, eq=False)
class Shove:
    """first, last, peak  samples
    force (3,)        body weights at the peak, world: where the body is pushed
    speed             m/s (story) that it gives the body
    limit             body weights
    """

    first: int
    last: int
    peak: int
    force: Floats
    speed: float
    limit: float

    @property
    def size(self) -> float:
        """Body weights."""
        return float(np.linalg.norm(self.force))


def find_shoves(
    basis: Basis, forces: OutsideForce, outside: Bools, *, loops: bool = False
) -> tuple[Shove, ...]:
    """All shoves, in time's order.

    outside (T,)   samples on which something was declared to reach the figure: not judged, and
                   no measure of what the shot does elsewhere
    loops          whether the range plays as a loop: who falls gets up in none
    """
    size = np.where(outside, 0.0, forces.size)
    before, after = beside(len(size), basis.dt_s)
    alone = np.maximum(size - np.maximum(size[before], size[after]), 0.0)
    alone[rises_off(basis, forces)] = 0.0
    lasting = np.minimum(alone, np.maximum(np.append(alone[1:], 0.0), np.append(0.0, alone[:-1])))
    spans = runs(lasting > FALLING * basis.settings.factor("push"))
    if not spans:
        return ()
    swing = own_swing(basis)
    found = [
        shove
        for span in spans
        if (shove := _judged(basis, forces, size, lasting, span, swing, loops)) is not None
    ]
    return _largest(found, APART_S / basis.dt_s)


def _judged(
    basis: Basis,
    forces: OutsideForce,
    size: Floats,
    lasting: Floats,
    span: tuple[int, int],
    swing: Floats,
    loops: bool,
) -> Shove | None:
    """What stands out from a first sample to a last, where that is a shove."""
    first, last = span
    peak = first + int(np.argmax(lasting[first : last + 1]))
    limit = basis.settings.factor("push") * _limit(basis, forces, size, peak, swing, loops)
    if lasting[peak] <= limit:
        return None
    while first > 0 and size[first - 1] > 0.5 * size[peak]:
        first -= 1
    while last < len(size) - 1 and size[last + 1] > 0.5 * size[peak]:
        last += 1
    push = forces.left[peak].copy()
    # Its way is told best by how the level force changes: contacts hide some of what is left.
    sudden = forces.sudden[max(peak - 1, 0) : peak + 2, :2].mean(axis=0)
    level = float(np.linalg.norm(push[:2]))
    if level > 0.0 and sudden @ push[:2] > 0.0:
        push[:2] = level * sudden / np.linalg.norm(sudden)
    near = slice(max(first - 1, 0), last + 2)
    return Shove(first, last, peak, push, float(size[near].sum()) * basis.dt_s * GRAVITY, limit)


def _limit(
    basis: Basis, forces: OutsideForce, size: Floats, peak: int, swing: Floats, loops: bool
) -> float:
    """From how many body weights on a shove at a sample stands out, in this shot, whose limbs are
    thrown by `swing` (T,)."""
    away = np.abs(np.arange(len(size)) - peak) * basis.dt_s
    elsewhere = float(size[(away < SCENE_S) & (away > APART_S)].max(initial=0.0))
    around = (away > SHOVE_S) & (away <= SWING_S)
    thrown = float(np.median(swing[around])) if around.any() else 0.0
    stopped = _stopped(forces, size, peak, (away >= STOPS_S) & (away <= APART_S))
    if not loops and _falls(basis, forces, peak):
        return FALLING + BY_FALLING * elsewhere + max(thrown - LIMP, 0.0) + stopped
    pressed = max(float(forces.felt[peak, 2]), 1.0)
    return STANDING * pressed + BY_STANDING * elsewhere + BY_SWING * thrown + stopped


def _stopped(forces: OutsideForce, size: Floats, peak: int, near: Bools) -> float:
    """The most, in body weights, that is left near a sample against what is left on it."""
    way = forces.left[peak] / max(float(size[peak]), 1e-9)
    against = np.where(size > 0.0, -forces.left @ way, 0.0)
    return float(against[near].max(initial=0.0))


def rises_off(basis: Basis, forces: OutsideForce) -> Bools:
    """(T,) whether a body rises and no longer presses: it rises faster than its weight can stop it,
    and is stopped by how far its legs reach, or hops."""
    if basis.com_velocity is None:
        return np.zeros(len(forces.felt), dtype=bool)
    return np.asarray((basis.com_velocity[:, 2] > 0.0) & (forces.felt[:, 2] < LEAST_PRESSURE))


def _falls(basis: Basis, forces: OutsideForce, peak: int) -> bool:
    """Whether the body falls there: nobody moves himself much then."""
    if basis.com_velocity is None:
        return False
    height = basis.height.scene_m
    up = float(basis.com_velocity[peak, 2]) / height
    near = round(APART_S / basis.dt_s)
    pressed = float(np.median(forces.felt[max(peak - near, 0) : peak + near + 1, 2]))
    low = forces.lever[peak] < LOW_SHARE * height * basis.height.to_story
    if low or pressed >= LESS or up >= SINKS_SHARE:
        return False
    before = max(peak - round(SHOVE_S / basis.dt_s), 0)
    return up < -SINKS_SHARE or _over(basis, before) > OVER_SHARE * height


def _over(basis: Basis, at: int) -> float:
    """How far the centre of mass is outside of what bears it, seen from above, scene metres."""
    if basis.com is None:
        return 0.0
    touch = basis.touch_points
    gap = hull_gap(touch.place[[at], :, :2], touch.touches[[at]], basis.com[[at], :2]).gap[0]
    return float(gap)


def _largest(found: list[Shove], apart: float) -> tuple[Shove, ...]:
    """Of what lies close together the largest: a shove is followed by what it makes of the body."""
    kept: list[Shove] = []
    for each in sorted(found, key=lambda shove: -shove.size):
        if all(abs(each.peak - other.peak) > apart for other in kept):
            kept.append(each)
    return tuple(sorted(kept, key=lambda shove: shove.peak))
