# SPDX-License-Identifier: GPL-3.0-or-later
"""How far a held prop trails the forearm that swings it."""

import numpy as np
from numpy.typing import NDArray

from .swings import Ways

Floats = NDArray[np.float64]

# Trailing by more than this is no drag.
MOST_S = 0.25
# Where the wrist stays within so many degrees there is no drag; where the paces of both are less
# alike than this (a correlation), none can be told.
STILL_DEG, LEAST_ALIKE = 2.0, 0.5
# The middle of the wrist's angles that counts: single frames do not.
MIDDLE = (2.5, 97.5)


def wrist_range_deg(ways: Ways) -> float:
    """Degrees between prop and forearm, from the least to the most, 2.5 % left out on each side."""
    angle = np.degrees(np.arccos(np.clip(_dot(ways.prop, ways.forearm), -1.0, 1.0)))
    low, high = np.percentile(angle[ways.known], MIDDLE)
    return float(high - low)


def lag_s(ways: Ways, dt_s: float) -> float | None:
    """Seconds by which the prop's turning comes after the forearm's; 0 where it is rigid, None
    where the two do not turn alike at all.

    The shift that makes their paces most alike (the highest correlation), between samples by a
    parabola through its neighbours.
    """
    most = min(round(MOST_S / dt_s), (len(ways.known) - 1) // 3)
    if _spread_deg(ways) < STILL_DEG:
        return 0.0
    if most < 1:
        return None
    known = ways.known[1:] & ways.known[:-1]
    prop, arm = (np.where(known, _pace(each), 0.0) for each in (ways.prop, ways.forearm))
    alike = np.array([_alike(arm, prop, shift) for shift in range(-most, most + 1)])
    best = int(np.argmax(alike))
    if best in (0, len(alike) - 1) or alike[best] < LEAST_ALIKE:
        return None
    before, at, after = alike[best - 1 : best + 2]
    bend = before - 2.0 * at + after
    part = 0.5 * float(before - after) / float(bend) if bend < 0.0 else 0.0
    return (best - most + part) * dt_s


def _spread_deg(ways: Ways) -> float:
    """How far the prop leaves its middle direction on the forearm."""
    seen = ways.on_forearm[ways.known]
    middle = seen.mean(axis=0)
    middle = middle / max(float(np.linalg.norm(middle)), 1e-12)
    return float(np.degrees(np.arccos(np.clip(seen @ middle, -1.0, 1.0))).max())


def _pace(way: Floats) -> Floats:
    """(T-1,) how far a unit vector (T,3) turns in each step."""
    return np.asarray(np.linalg.norm(np.diff(way, axis=0), axis=-1))


def _alike(lead: Floats, late: Floats, shift: int) -> float:
    """How alike two series are with the second `shift` samples later."""
    if shift >= 0:
        a, b = lead[: len(lead) - shift], late[shift:]
    else:
        a, b = lead[-shift:], late[:shift]
    a, b = a - a.mean(), b - b.mean()
    size = float(np.linalg.norm(a) * np.linalg.norm(b))
    return float(a @ b) / size if size > 0.0 else 0.0


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(np.einsum("ni,ni->n", a, b))
