# SPDX-License-Identifier: GPL-3.0-or-later
"""Numbers for how a figure comes to rest, and how a landing passes up its body."""

from collections.abc import Sequence

import numpy as np

from .arrivals import BEYOND_SHARE, Stop
from .basis import Basis

# After a landing, so long is looked for how far each part goes down.
SINKS_S = 0.6
# How much lower than at the landing it must come, a share of the height (1.7 cm at 1.7 m).
SINKS_SHARE = 0.01
IMPACT = {"hips": ("pelvis", "root"), "chest": ("chest",), "head": ("head",)}


def overlap_missing(stop: Stop, dt_s: float, overlap_s: float) -> float:
    """Seconds that are missing from the first arrival to the last, of those that overlap takes."""
    return max(overlap_s - stop.spread * dt_s, 0.0)


def settling_measures(basis: Basis, stops: Sequence[Stop]) -> dict[str, float]:
    """Of the stops of the whole figure and of its landings.

    arrival_spread_s   median time from the first part's arrival to the last one's
    overshoot_pct      how far the usual part goes beyond its place, of its way there, median
    settle_s           median time from the first arrival until all is at rest, where any does so
    impact_hips_s, impact_chest_s, impact_head_s   median time from a landing to its lowest point
    """
    found: dict[str, float] = {}
    if stops:
        dt_s = basis.dt_s
        found["arrival_spread_s"] = float(np.median([stop.spread for stop in stops])) * dt_s
        found["overshoot_pct"] = 100.0 * float(
            np.median([np.median(stop.beyond) for stop in stops])
        )
        settles = [stop.first - stop.at.min() for stop in stops if stop.beyond.max() > BEYOND_SHARE]
        if settles:
            found["settle_s"] = max(float(np.median(settles)), 0.0) * dt_s
    return {**found, **_impacts(basis)}


def _impacts(basis: Basis) -> dict[str, float]:
    found = {}
    for name, parts in IMPACT.items():
        body = next((n for part in parts if (n := basis.body(part)) is not None), None)
        if body is None or not basis.valid[:, body].all():
            continue
        late = [
            seconds
            for flight in basis.flights
            if flight.whole and (seconds := _sinks_s(basis, body, flight.last + 1)) is not None
        ]
        if late:
            found[f"impact_{name}_s"] = float(np.median(late))
    return found


def _sinks_s(basis: Basis, body: int, landing: int) -> float | None:
    """Seconds from a landing until a part is lowest; None where it hardly goes down, or still
    goes down when the time, or the range, is over."""
    last = landing + round(SINKS_S / basis.dt_s)
    heights = basis.positions[landing : last + 1, body, 2]
    if len(heights) < 3:
        return None
    at = int(np.argmin(heights))
    sinks = heights[0] - heights[at] >= SINKS_SHARE * basis.height.scene_m
    return at * basis.dt_s if sinks and at < len(heights) - 1 else None
