# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a topple leaves its stand, and what gravity alone makes of it from there.

A body that stands still and then tips over as it is has no more speed than what its centre of mass
has come down: v^2 <= 2 g (height at the stand - height now), all of it if its mass were in one
place, less of one that turns as well (conservation of energy). One that is faster was pushed.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .tippings import Tipping
from .topple_times import topple_s

Floats = NDArray[np.float64]

# Degrees: at a smaller lean than this it is let go no sooner; it has left its stand where it leans
# by the second more; its speed is held against its drop from the third on.
RESTS_DEG, LEAVES_DEG, ASKED_DEG = 1.0, 0.25, 20.0
# At rest it has no more than this share of the energy that it gains up to where it is timed.
REST_SHARE = 0.05
# Over so many leans the time of a fall is tabled.
TABLED = 60


@dataclass(frozen=True)
class Stand:
    """A topple told from where it leaves its stand, sample `first`, to where it lands, `last`.

    start_deg, end_deg   lean at those samples
    took_s               what that takes
    rod_s, pendulum_s    what these take, let go at rest from that stand
    of_drop              the square of its speed, of what its drop can give: on two samples or more
    off_rod_rad, off_pendulum_rad  how far its lean is off theirs on its way, at most
    """

    first: int
    last: int
    start_deg: float
    end_deg: float
    took_s: float
    rod_s: float
    pendulum_s: float
    of_drop: float
    off_rod_rad: float
    off_pendulum_rad: float


@dataclass(frozen=True, eq=False)
class Fall:
    """A stretch in which a body tips over, the rates of rod and pendulum (1/s2), gravity (scene
    metres a second squared) and seconds a sample."""

    tipping: Tipping
    rod: float
    pendulum: float
    gravity: float
    dt_s: float


def find_stand(fall: Fall) -> Stand | None:
    """The fall from its stand on; None for a body that is under way before it is seen."""
    if not _rests(fall):
        return None
    lean, turns, last = fall.tipping.lean, fall.tipping.turns, fall.tipping.lands
    rest = max(float(lean[turns]), np.radians(RESTS_DEG))
    leant = np.flatnonzero(lean[turns : last + 1] >= rest + np.radians(LEAVES_DEG))
    if not len(leant) or turns + leant[0] >= last:
        return None
    first = turns + int(leant[0])
    leans = lean[first : last + 1]
    rods, pendulums = (_table(rest, leans, rate) for rate in (fall.rod, fall.pendulum))
    return Stand(
        first=first,
        last=last,
        start_deg=float(np.degrees(leans[0])),
        end_deg=float(np.degrees(leans[-1])),
        took_s=(last - first) * fall.dt_s,
        rod_s=float(rods[-1]),
        pendulum_s=float(pendulums[-1]),
        of_drop=_of_drop(fall),
        off_rod_rad=_off(leans, rods, fall.dt_s),
        off_pendulum_rad=_off(leans, pendulums, fall.dt_s),
    )


def _rests(fall: Fall) -> bool:
    """Whether it hardly moves where its lean begins to grow."""
    lean, turns = fall.tipping.lean, fall.tipping.turns
    if fall.tipping.stood:
        return True
    speed = (lean[turns + 1] - lean[turns]) / fall.dt_s
    gains = 2.0 * fall.rod * (np.cos(lean[turns]) - np.cos(lean[fall.tipping.start]))
    return bool(speed**2 <= REST_SHARE * gains)


def _table(rest: float, leans: Floats, rate: float) -> Floats:
    """(TABLED,) seconds from the first of leans on, evenly over leans, let go at rest."""
    grid = np.linspace(leans[0], leans[-1], TABLED)
    times = np.array([topple_s(rest, float(each), rate) for each in grid])
    return np.asarray(times - times[0])


def _off(leans: Floats, times: Floats, dt_s: float) -> float:
    """Radians between leans (N,) and those that are reached at times (TABLED,), at most."""
    grid = np.linspace(leans[0], leans[-1], TABLED)
    there = np.interp(np.arange(len(leans)) * dt_s, times, grid)
    return float(np.abs(leans - there).max())


def _of_drop(fall: Fall) -> float:
    """The second largest share of squared speed, of what the drop from the stand gives; 0 where
    fewer than two samples between others tell it."""
    lean, away, turns = fall.tipping.lean, fall.tipping.away, fall.tipping.turns
    at = np.arange(turns + 1, fall.tipping.lands)
    at = at[lean[at] >= np.radians(ASKED_DEG)]
    if len(at) < 2:
        return 0.0
    speed = (away[at + 1] - away[at - 1]) / (2.0 * fall.dt_s)
    drop = away[turns, 2] - away[at, 2]
    gives = 2.0 * fall.gravity * np.maximum(drop, 1e-9)
    return float(np.sort(np.sum(speed**2, axis=1) / gives)[-2])
