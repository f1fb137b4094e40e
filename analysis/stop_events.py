# SPDX-License-Identifier: GPL-3.0-or-later
"""Dead stops of a figure's parts, and hard starts: the same played backwards.

They are judged in the world, hands and head also as what carries them sees them, so that an
arm that stops dead on a body that walks on is seen as well. What stops by right is left out:
feet that are not raised, what hits the ground or the own body, and what was declared.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .declared import is_declared
from .ends import Ends
from .impacts import Impacts
from .screen import ScreenBasis
from .stop_points import as_carried, carriers_known, judged_points
from .stops import Stops, find_stops, rest_steps
from .touch import touches

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Of the height a second: what is slower may stop as it likes.
SLOW_SHARE = 0.12
# What stops dead and is off again at full speed within this time sticks; that is no stop.
STICKS_S = 0.2
# A start is prepared where the body went back within this time before, by this share of the
# height (1.7 cm at 1.7 m), and against its way but for an angle with this cosine.
BACK_S, BACK_SHARE, STRAIGHT_BACK, LEADS = 0.6, 0.01, 0.9, 3
# It still goes back, by this share of the height (.3 mm), while it rests as a point does: a pose
# that is held dead prepares nothing.
CREEPS_SHARE = 0.0002
# Stops within two frames at 24 a second are one moment of the shot.
TOGETHER_S = 1.0 / 12.0


@dataclass(frozen=True, eq=False)
class DeadStop:
    """One point that stops dead, or starts at full speed.

    at        sample on which it is (or was last) at rest
    body, mark
    speed     metres a second
    way       (3,) metres, the last step before the stop, or the first one after the start
    carried   True where it rests only as seen by what carries it
    """

    at: int
    body: int
    mark: int
    speed: float
    way: Floats
    carried: bool


@dataclass(frozen=True, eq=False)
class FoundStops:
    """The stops that are faults, and how many moments of rest the shot has, hard ones apart."""

    stops: tuple[DeadStop, ...]
    moments: int
    hard_moments: int


@dataclass(frozen=True, eq=False)
class _Seen:
    """The stops of N points as seen in the world, or by what carries them.

    paths (T,B,3,3); points (N,2) bodies and marks; stops (T,N); free (T,N) hard ones that stick
    to nothing.
    """

    paths: Floats
    points: NDArray[np.int64]
    stops: Stops
    free: Bools
    carried: bool


def find_dead_stops(basis: Basis, ends: Ends, check: str, *, starts: bool) -> FoundStops:
    """Dead stops (or hard starts) of all judged bodies, with the limits of `check`."""
    least = basis.settings.factor(check) * SLOW_SHARE * basis.height.scene_m
    marks, shift = ends.around("marks")
    judged = judged_points(basis, ends)
    found: list[DeadStop] = []
    rests, hard = np.zeros(len(marks), dtype=bool), np.zeros(len(marks), dtype=bool)
    known, impacts = np.zeros(marks.shape[:2], dtype=bool), Impacts(basis)
    for seen in _views(basis, ends, marks, judged, least, starts=starts):
        rests |= seen.stops.rests.any(axis=1)
        places = np.argwhere(seen.free).tolist()
        for at, point in sorted(places, key=lambda p: -seen.stops.speed[p[0], p[1]]):
            body = int(seen.points[point, 0])
            stop = None if known[at, body] else _dead_stop(basis, seen, at, point, shift, starts)
            if stop is None or (starts and _is_jolted(basis, impacts, stop)):
                continue
            known[max(at - 1, 0) : at + 2, body] = True
            hard[at] = True
            if not (starts and _is_prepared(basis, seen, marks, at, body)):
                found.append(stop)
    return FoundStops(tuple(found), *_moments(rests, hard, basis.dt_s))


def _views(
    basis: Basis, ends: Ends, marks: Floats, judged: Bools, least: float, *, starts: bool
) -> Iterator[_Seen]:
    """The world, and what carries hands and head: that is no matter of the picture."""
    yield _seen(basis, marks, judged, least, starts=starts, carried=False)
    if not isinstance(basis, ScreenBasis):
        carried = judged & carriers_known(basis, ends)[:, :, None]
        paths = as_carried(basis, ends)
        yield _seen(basis, paths, carried, least, starts=starts, carried=True)


def _seen(
    basis: Basis, paths: Floats, allowed: Bools, least: float, *, starts: bool, carried: bool
) -> _Seen:
    points = np.argwhere(allowed.any(axis=0))
    chosen = paths[:, points[:, 0], points[:, 1]]
    ahead = _played(chosen, basis.dt_s, least, starts=starts)
    against = _played(chosen, basis.dt_s, least, starts=not starts)
    may = allowed[:, points[:, 0], points[:, 1]]
    free = ahead.hard & may & ~_sticks(ahead, against, basis.dt_s, starts=starts)
    stops = Stops(ahead.rests & may, ahead.hard & may, ahead.speed, ahead.recent)
    return _Seen(paths, points, stops, free, carried)


def _played(paths: Floats, dt_s: float, least: float, *, starts: bool) -> Stops:
    """`find_stops`, or the same of the paths played backwards: starts."""
    if not starts:
        return find_stops(paths, dt_s, least)
    back = find_stops(paths[::-1], dt_s, least)
    return Stops(back.rests[::-1], back.hard[::-1], back.speed[::-1], back.recent[::-1])


def _sticks(ahead: Stops, against: Stops, dt_s: float, *, starts: bool) -> Bools:
    """(T,...) stops after which the point is off again at full speed too soon to have rested."""
    sticks = np.zeros(ahead.hard.shape, dtype=bool)
    for steps in range(rest_steps(dt_s), int(STICKS_S / dt_s + 0.5) + 1):
        if starts:
            sticks[steps:] |= against.hard[:-steps]
        else:
            sticks[:-steps] |= against.hard[steps:]
    return sticks


def _dead_stop(
    basis: Basis, seen: _Seen, at: int, point: int, shift: int, starts: bool
) -> DeadStop | None:
    """One point's stop, or None where it is by right or outside the range."""
    body, mark = (int(each) for each in seen.points[point])
    sample = at - shift
    if not 0 <= sample < len(basis.frames):
        return None
    world = basis.world if isinstance(basis, ScreenBasis) else basis
    if is_declared(basis, body, sample, sample) or touches(world, body, sample, leaves=starts):
        return None
    path = seen.paths[:, body, mark]
    way = path[at + 1] - path[at] if starts else path[at] - path[at - 1]
    return DeadStop(sample, body, mark, float(seen.stops.speed[at, point]), way, seen.carried)


def _is_jolted(basis: Basis, impacts: Impacts, start: DeadStop) -> bool:
    """Whether a point sets off no faster than what hits there jolts it."""
    return impacts.explain(start.body, start.at, start.at, start.speed * basis.dt_s)


def _is_prepared(basis: Basis, seen: _Seen, marks: Floats, at: int, body: int) -> bool:
    """Whether a body goes back until it sets off, as it is seen or in the world.

    Where it only starts as seen by what carries it, that must have set off before.
    """
    if _goes_back(basis, seen.paths[: at + 2, body], 1):
        return True
    return seen.carried and _goes_back(basis, marks[: at + 2, body], 2)


def _goes_back(basis: Basis, paths: Floats, least_lead: int) -> bool:
    """Whether points on their paths (N,3,3) go straight back until they set off: with the last
    step, or up to two before that, as what carries a body may lead."""
    rest = paths[-2 - rest_steps(basis.dt_s) : -1] - paths[-2]
    creeps = np.linalg.norm(rest, axis=-1).max(axis=0) >= CREEPS_SHARE * basis.height.scene_m
    for lead in range(least_lead, min(LEADS, len(paths) - 1) + 1):
        way = paths[-1] - paths[-1 - lead]
        before = paths[max(len(paths) - 1 - lead - round(BACK_S / basis.dt_s), 0) : -lead]
        back = before - before[-1]
        far, ahead = np.linalg.norm(back, axis=-1), np.linalg.norm(way, axis=-1)
        straight = np.einsum("nmi,mi->nm", back, way) >= STRAIGHT_BACK * far * ahead
        goes = (straight & (far >= BACK_SHARE * basis.height.scene_m)).any(axis=0)
        if (goes & creeps).any():
            return True
    return False


def _moments(rests: Bools, hard: Bools, dt_s: float) -> tuple[int, int]:
    """How many moments have anything come to rest, and how many of them anything hard."""
    together = max(round(TOGETHER_S / dt_s), 1)
    moments, dead, last, is_hard = 0, 0, -together - 1, False
    for at in np.flatnonzero(rests | hard):
        if at - last > together:
            moments, dead, is_hard = moments + 1, dead + is_hard, False
        is_hard, last = bool(is_hard or hard[at]), int(at)
    return moments, dead + is_hard
