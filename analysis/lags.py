# SPDX-License-Identifier: GPL-3.0-or-later
"""How long each part trails what it follows: arms and head the chest, the chest the root."""

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .memory import recalled
from .parts import ARM, split_part
from .smoothing import smooth

Floats = NDArray[np.float64]

# A part may lead by so much and trail by so much, seconds; more says nothing about dragging.
LEADS_S, TRAILS_S = 0.15, 0.4
# The speeds must be so much alike (a correlation), over so many seconds besides the lag.
ALIKE, LEAST_S = 0.5, 0.5
SMOOTH_S = 0.125
# Slower than this on the whole, of the height a second (2.5 cm/s at 1.7 m), nothing is trailed.
LEAST_PACE = 0.015
_FOLLOWS = {"chest": ("root", "pelvis"), "neck": ("chest",), "head": ("chest",)}
_FOLLOWS |= dict.fromkeys(ARM, ("chest",))


def lag_s(basis: Basis, body: int) -> float | None:
    """Seconds by which a part moves later than the part that it follows.

    Compared are speeds: of the part's tip, as the other sees it, and of the other's tip in the
    world, both without their mean, at every lag (their normalised cross-correlation, its top by
    a parabola). None where they are not alike, hardly move, or are too short, or where the part
    is so late in a swing to and fro that it may swing against the other; positive where it comes
    later.
    """
    leader = _leader(basis, body)
    if leader is None or not basis.valid[:, [body, leader]].all():
        return None
    reach = (round(LEADS_S / basis.dt_s), round(TRAILS_S / basis.dt_s))
    if len(basis.frames) < sum(reach) + LEAST_S / basis.dt_s:
        return None
    back = quat.conjugate(basis.rotations[:, leader])
    own = quat.rotate(back, basis.marks[:, body, 1] - basis.positions[:, leader])
    paths = np.stack((basis.marks[:, leader, 1], own), axis=1)
    least = LEAST_PACE * basis.height.scene_m
    return recalled(basis.memory, _lag_s, paths, basis.dt_s, least, reach)


def _lag_s(paths: Floats, dt_s: float, least: float, reach: tuple[int, int]) -> float | None:
    """`lag_s` of the leader's path and the follower's (T,2,3), both faster than `least` m/s."""
    ways = smooth(paths, dt_s, window_s=SMOOTH_S, degree=2, derivative=1)
    speeds = np.linalg.norm(ways, axis=-1)
    if speeds.mean(axis=0).min() < least:
        return None
    speeds = speeds - speeds.mean(axis=0)
    lags = range(-reach[0], reach[1] + 1)
    alike = np.array([_alike(speeds, lag) for lag in lags])
    best = int(np.argmax(alike))
    if alike[best] < ALIKE or not 0 < best < len(lags) - 1:
        return None
    if abs(lags[best]) >= _turns_after(speeds[:, :1], reach[1]):
        return None
    a, b, c = alike[best - 1 : best + 2]
    return float((lags[best] + 0.5 * (a - c) / min(a - 2.0 * b + c, -1e-12)) * dt_s)


def _turns_after(speed: Floats, most: int) -> int:
    """Samples after which a speed (T,1) is no longer like itself: a quarter of a swing.

    What comes later than that in a swing to and fro may as well come earlier, or swing against it.
    """
    both = np.repeat(speed, 2, axis=1)
    return next((lag for lag in range(1, most + 1) if _alike(both, lag) <= 0.0), most + 1)


def _leader(basis: Basis, body: int) -> int | None:
    kind = split_part(basis.bodies[body].part or "")[0]
    if kind in ("prop", "chain"):
        parent = basis.bodies[body].parent
        return parent if parent >= 0 else None
    found = (basis.body(part) for part in _FOLLOWS.get(kind, ()))
    return next((n for n in found if n is not None), None)


def _alike(speeds: Floats, lag: int) -> float:
    """The correlation of the leader's speed with the follower's `lag` samples later."""
    count = len(speeds) - abs(lag)
    lead = speeds[max(-lag, 0) : max(-lag, 0) + count, 0]
    late = speeds[max(lag, 0) : max(lag, 0) + count, 1]
    size = float(np.sqrt((lead**2).sum() * (late**2).sum()))
    return float((lead * late).sum()) / max(size, 1e-12)
