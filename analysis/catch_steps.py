# SPDX-License-Identifier: GPL-3.0-or-later
"""Steps that catch a falling body: where the foot lands against where the body is going.

A body whose extrapolated centre of mass is beyond its support falls until a foot lands there. One
that lands beyond that point, or around it, can stop the body; with one that lands short of it the
body goes on over the foot, and needs another step (Hof, Gazendam & Sinke 2005, J Biomech 38:1-8).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .balance_state import POOLED_S, Balance, of_feet
from .basis import Basis
from .basis.contacts import Plant
from .basis.mass import mass_known
from .unbalanced import OUT_SHARE

Bools = NDArray[np.bool_]

# Shares of the height; at 1.7 m: before it lands the body falls by more than 5 cm beyond its
# support; slower than .25 m/s it has stopped.
FALLS_SHARE, STOPS_SHARE = 0.05 / 1.7, 0.25 / 1.7
# A step lands clearly short where the body goes further than this beyond it (20 cm): captured
# dancers go up to 15 cm beyond a foot on which they stop.
SHORT_SHARE = 0.2 / 1.7
# It has stopped within so long after the step, and stays so for that long; where the body is going
# is read so long after the landing, when speeds before it no longer count.
WITHIN_S, STAYS_S, READ_S = 1.0, 0.2, 0.1


@dataclass(frozen=True)
class CatchStep:
    """The landing of a foot (side L or R) at sample `at`, after which the body has stopped at
    sample `stops`.

    margin_m    how far within the new support the body is going, scene metres; below 0: beyond it
    short       whether that is clearly beyond it, and the body stops over its feet, or nearly
    way (2,)    unit vector, level: where it is going, seen from the support
    flown       whether nothing touches for a while before it: it lands from a hop
    """

    side: str
    at: int
    stops: int
    margin_m: float
    short: bool
    way: tuple[float, float]
    flown: bool


def find_catch_steps(basis: Basis, balance: Balance) -> tuple[CatchStep, ...]:
    """All steps after which the body stops, in time's order; steps of a walk that goes on are
    none."""
    lands = sorted((plant for plant in basis.plants if plant.lands), key=lambda each: each.first)
    alone = _on_feet_alone(basis) if lands else np.zeros(0, dtype=bool)
    found = []
    for n, plant in enumerate(lands):
        after = lands[n + 1].first if n + 1 < len(lands) else len(basis.frames)
        if (each := _caught(basis, balance, plant, after, alone)) is not None:
            found.append(each)
    return tuple(found)


def _caught(
    basis: Basis, balance: Balance, plant: Plant, after: int, alone: Bools
) -> CatchStep | None:
    """The step, where the body falls before it and stops before the next landing."""
    height, dt = basis.height.scene_m, basis.dt_s
    pooled = max(round(POOLED_S / dt), 1)
    touch = basis.touch_points
    mine = touch.sole & (touch.body == plant.body)
    lifted = np.array(~touch.touches[: plant.first + 1, mine].any(axis=1))
    before = int(np.flatnonzero(lifted)[-1]) - pooled if lifted.any() else -1
    read = plant.first + round(READ_S / dt)
    stays = max(round(STAYS_S / dt), 2)
    last = min(after, plant.first + round(WITHIN_S / dt) + stays, len(basis.frames))
    if before < 0 or read >= last:
        return None
    falls = balance.gap.gap[before]
    if not np.isfinite(balance.gap.gap[read]) or falls < FALLS_SHARE * height:
        return None
    slow = np.hypot(*balance.speed[read:last].T) < STOPS_SHARE * height
    stops = [n for n in range(len(slow) - stays + 1) if slow[n : n + stays].all()]
    if not stops or not alone[plant.first : read + stops[0] + 1].all():
        return None
    stop = read + stops[0]
    gap, out = balance.gap, float(balance.gap.gap[read])
    limit = SHORT_SHARE * height * basis.settings.factor("balance")
    stands = bool((balance.com_gap.gap[stop : stop + stays] < OUT_SHARE * height).all())
    way = (float(gap.way[read, 0]), float(gap.way[read, 1]))
    short = out > limit and stands
    return CatchStep(plant.side, plant.first, stop, -out, short, way, _flown(basis, plant, lifted))


def _flown(basis: Basis, plant: Plant, lifted: Bools) -> bool:
    """Whether nothing touches on a sample of the way of a foot to where it lands.

    lifted   (plant.first + 1,) whether that foot is up
    """
    down = np.flatnonzero(~lifted[: int(np.flatnonzero(lifted)[-1]) + 1])
    left = int(down[-1]) + 1 if len(down) else 0
    return bool(~basis.touch_points.touches[left : plant.first].any(axis=1).all())


def _on_feet_alone(basis: Basis) -> Bools:
    """(T,) whether nothing but feet touches, nothing holds, and all of the mass is known."""
    touch = basis.touch_points
    others = touch.touches[:, ~of_feet(basis)].any(axis=1) | touch.holds.any(axis=1)
    return np.asarray(mass_known(basis) & ~others)
