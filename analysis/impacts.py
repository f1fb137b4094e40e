# SPDX-License-Identifier: GPL-3.0-or-later
"""What jerks a body from outside though nobody declared it: it hits the floor, or a support.

A point of the figure hits where it comes down on what bears it and loses half of its speed, or
more, within two frames. The speed that it loses is the jolt that it gives: one of trunk or head
jolts the whole figure (hands are flung, knees snap, the head whips on its neck), one of an arm that
arm. In a frame nothing that is jolted goes further off its way than that speed goes; in falls that
are simulated it goes less than .75 of that.

Legs are left out: feet land all the time, and `Basis.leg_lenience` knows where.
"""

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .evidence import RawEvent
from .parts import ARM, TRUNK, limb_of, split_part
from .screen import ScreenBasis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Trunk and head hit from this speed on, of the height a second (1.25 m/s at 1.7 m: a fall of 8
# cm), arms from more (2 m/s): what is laid down or rolls comes slower, hands that crawl slap
# the floor with 1.5 m/s.
LEAST_SHARE, LEAST_ARM_SHARE = 1.25 / 1.7, 2.0 / 1.7
# It loses so much of its speed, and has come down with so much of it a step before: what only
# jumps for a frame has not come from anywhere.
LOSES_SHARE, CAME_SHARE = 0.5, 0.5
# It goes down no further within this time after, but for this share of the height (2 cm): what
# sticks near the floor and goes on falling has hit nothing.
STAYS_S, STAYS_SHARE = 0.1, 0.02 / 1.7
# A jolt is felt from the last sample before the hit: over the two steps in which the speed is
# lost, and for as long after as two frames at 24 a second less one step.
FELT_S = 1.0 / 12.0
# Samples before the hit, and after it, that tell it.
BEFORE, AFTER = 2, 2


class Impacts:
    """The jolts of a basis; nothing is computed before it is asked for."""

    def __init__(self, basis: Basis) -> None:
        self._basis = basis
        self._world: Basis = getattr(basis, "world", basis)
        # The centre of mass is a basis of one body: what jolts the body that leads jolts it.
        self._one = len(basis.bodies) < len(self._world.bodies)

    def explain(self, body: int, first: int, last: int, size: float) -> bool:
        """Whether a body that a frame throws off its way by a size (among the points of the
        basis), on samples first..last, was jolted by as much next to them."""
        if isinstance(self._basis, ScreenBasis):
            size /= float(self._basis.usual_scale[body])
        jolted = self._world.lead if self._one else body
        near = self.speeds[max(first - 1, 0) : last + 2, jolted]
        hardest = float(near.max(initial=0.0))
        return bool(hardest > 0.0 and size <= hardest * self._world.dt_s)

    @cached_property
    def speeds(self) -> Floats:
        """(T,B) m/s, world: the hardest jolt of each body that is felt on each sample."""
        basis, points = self._world, self._world.touch_points
        found = np.zeros((len(basis.frames), len(basis.bodies)))
        kinds = [split_part(basis.bodies[body].part or "")[0] for body in points.body]
        least = np.array([_least(kind) for kind in kinds]) * basis.height.scene_m
        lost = _lost(basis, points.place[..., 2], points.touches, least)
        felt = round(FELT_S / basis.dt_s) + AFTER
        for at, point in np.argwhere(lost > 0.0).tolist():
            span = found[at : at + felt]
            moved = _jolted(basis, int(points.body[point]))
            span[:, moved] = np.maximum(span[:, moved], lost[at, point])
        return found


def without_jolted(basis: Basis, events: Sequence[RawEvent]) -> list[RawEvent]:
    """The events whose bodies are off by more than what hits there jolts them by."""
    impacts = Impacts(basis)
    return [
        each
        for each in events
        if each.body is None
        or not impacts.explain(each.body, each.first, each.last, each.visible_m)
    ]


def hit_measures(basis: Basis) -> dict[str, float]:
    """The hardest hit of trunk, head or arms on what bears the figure, story m/s, if any."""
    hardest = float(Impacts(basis).speeds.max(initial=0.0))
    return {"hit_m_s": hardest * basis.height.to_story} if hardest > 0.0 else {}


def _least(kind: str) -> float:
    """From which speed on a point on such a part hits, of the height a second."""
    if kind in TRUNK:
        return LEAST_SHARE
    return LEAST_ARM_SHARE if kind in ARM else np.inf


def _lost(basis: Basis, up: Floats, touches: Bools, least: Floats) -> Floats:
    """(T,N) m/s that points at heights `up` (T,N) lose in a hit, on the last sample before it; 0
    where they do not hit, or come with less than `least` (N,)."""
    lost = np.zeros(up.shape)
    if len(up) <= BEFORE + AFTER:
        return lost
    down = -np.diff(up, axis=0) / basis.dt_s
    earlier, came, after = down[:-3], down[1:-2], down[3:]
    hits = (came - after >= np.maximum(least, LOSES_SHARE * came)) & (came >= least)
    hits &= earlier >= CAME_SHARE * came
    hits &= touches[BEFORE + 1 : -1] | touches[BEFORE + AFTER :]
    lowest = up.copy()
    for shift in range(1, min(max(round(STAYS_S / basis.dt_s), 1), len(up) - 1) + 1):
        lowest[:-shift] = np.minimum(lowest[:-shift], up[shift:])
    hits &= (lowest >= up - STAYS_SHARE * basis.height.scene_m)[BEFORE + AFTER :]
    lost[BEFORE:-AFTER] = np.where(hits, came - after, 0.0)
    return lost


def _jolted(basis: Basis, body: int) -> list[int]:
    """What a point of a body jolts as it hits: its limb and what hangs on it, or all."""
    limb = {basis.body(each) for each in limb_of(basis.bodies[body].part or "")}
    every = range(len(basis.bodies))
    return [n for n in every if not limb or limb & {n, *basis.ancestors(n)}]
