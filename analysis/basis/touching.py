# SPDX-License-Identifier: GPL-3.0-or-later
"""How long a foot touches what it stands on: a little longer than it is slow there.

A foot that slips as it lands, or as it pushes off, is on the floor and fast.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .contacts import Plant, Soles

Floats = NDArray[np.float64]

# Shares of the height; at 1.7 m: a sole touches up to this much over where it stands (.4 cm),
# while it rises or sinks by no more than so much in a step, and is slower than this (1 m/s), for
# so long before and after it stands.
OVER_SHARE, FAST_SHARE, REACH_S = 0.004 / 1.7, 1.0 / 1.7, 0.17
# The height on which it stands is the least of so many samples at that end.
EDGE = 4


def touch(
    soles: Soles, plant: Plant, plants: Sequence[Plant], height_m: float, dt_s: float
) -> tuple[int, int]:
    """First and last sample on which a planted foot touches, around its plant."""
    mine = [each for each in plants if each.side == plant.side]
    before = max((p.last for p in mine if p.last <= plant.first and p is not plant), default=0)
    after = min(
        (p.first for p in mine if p.first >= plant.last and p is not plant),
        default=len(soles.clearance) - 1,
    )
    reach = round(REACH_S / dt_s)
    first = _reach(soles, plant, max(before, plant.first - reach), -1, height_m, dt_s)
    last = _reach(soles, plant, min(after, plant.last + reach), 1, height_m, dt_s)
    return first, last


def _reach(soles: Soles, plant: Plant, limit: int, way: int, height_m: float, dt_s: float) -> int:
    """The last sample up to `limit`, going one way in time from a plant, on which it touches.

    Where it goes on along the floor for longer, it steps: then the plant's own end.
    """
    at = end = plant.first if way < 0 else plant.last
    lowest = soles.clearance.min(axis=1)
    edge = lowest[plant.first : plant.last + 1]
    level = float((edge[:EDGE] if way < 0 else edge[-EDGE:]).min()) + OVER_SHARE * height_m
    while at != limit:
        step = min(at, at + way)
        pace = float(np.linalg.norm(soles.steps[step], axis=-1).min()) / dt_s
        moves = abs(float(lowest[at + way] - lowest[at]))
        if (
            lowest[at + way] > level
            or moves > OVER_SHARE * height_m
            or pace > FAST_SHARE * height_m
        ):
            return at
        at += way
    return end
