# SPDX-License-Identifier: GPL-3.0-or-later
"""With which place and velocity a free path leaves the ground: as measured, or as it would be
once what is told first of a flight that falls wrongly is done."""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..carry_flights import BEYOND_SHARE, EARLY_SHARE, LEAST_EARLY, Carried
from ..checks.gravity_advice import Cure
from ..flight_cures import is_spaced
from ..flight_standard import Standard
from ..flown import Flown
from ..free_fall import fit_fall

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class TakeOff:
    """place (3,) scene metres and velocity (3,) scene m/s at sample `leaves`; fall: scene m/s2."""

    place: Floats
    velocity: Floats
    fall: float

    def at(self, seconds: Floats) -> Floats:
        """(N,3) places so many seconds (N,) later."""
        time = seconds[:, None]
        return self.place + self.velocity * time - 0.5 * self.fall * time**2 * [0.0, 0.0, 1.0]

    def lands_s(self, height: float) -> float | None:
        """Seconds until it comes down to a height; None where it does not rise to it."""
        up = float(self.velocity[2])
        square = up**2 - 2.0 * self.fall * (height - float(self.place[2]))
        return None if square < 0.0 else (up + sqrt(square)) / self.fall


def cured(basis: Basis, flown: Flown, cure: Cure, standard: Standard) -> TakeOff:
    """As it would leave once a cure is done: from its place, and to its place but for `aside`. By
    another height it takes its own time; else it rises as high as it does."""
    com, to_story = com_of(basis), basis.height.to_story
    fall = standard.target / to_story
    start, end = com[flown.leaves], com[flown.lands] + cure.aside
    seconds = (flown.lands - flown.leaves) * basis.dt_s
    if cure.rises:
        up = (end[2] - start[2]) / seconds + 0.5 * fall * seconds
    else:
        up = sqrt(2.0 * fall * flown.arc.up_m / to_story)
        rises = TakeOff(start, np.array([0.0, 0.0, up]), fall)
        seconds = rises.lands_s(float(end[2])) or flown.arc.needed_s(standard.target)
    return TakeOff(start, np.array([*((end - start)[:2] / seconds), up]), fall)


def take_off(
    basis: Basis, flown: Flown, carried: Carried | None, standard: Standard | None
) -> TakeOff:
    """As it is measured to leave."""
    com, to_story = com_of(basis), basis.height.to_story
    fall = (flown.told if standard is None else standard.target) / to_story
    took = (flown.lands - flown.leaves) * basis.dt_s
    start, end = com[flown.leaves], com[flown.lands]
    fit = fit_fall(com[flown.flight.first : flown.flight.last + 1], basis.dt_s)
    if flown.posed or not flown.even or fit is None or is_spaced(basis, flown):
        up = sqrt(2.0 * fall * _rise(com, flown))
        level = (end - start)[:2] / took
        if flown.posed:  # its poses are where they should be, and only their time is open
            level = level * took / max((up + sqrt(2.0 * fall * _drop(com, flown))) / fall, 1e-9)
        return TakeOff(start, np.array([*level, up]), fall)
    middle = 0.5 * (flown.flight.first + flown.flight.last)
    since = (flown.leaves - middle) * basis.dt_s
    up = float(fit.velocity[2] + fit.acceleration[2] * since)
    share = _retimed(basis, flown, carried, fall, fit.down)
    level = _level(basis, flown, carried, took) if share is None else _air(com, flown, basis.dt_s)
    velocity = np.array([*level, up]) / (share or 1.0)
    return TakeOff(start, velocity, fall)


def com_of(basis: Basis) -> Floats:
    """(T,3) the centre of mass; raises ValueError where it is not known."""
    if basis.com is None:
        raise ValueError("the centre of mass is not known: leave the figure out.")
    return basis.com


def _rise(com: Floats, flown: Flown) -> float:
    heights = com[flown.leaves : flown.lands + 1, 2]
    return float(heights.max() - heights[0])


def _drop(com: Floats, flown: Flown) -> float:
    heights = com[flown.leaves : flown.lands + 1, 2]
    return float(heights.max() - heights[-1])


def _retimed(
    basis: Basis, flown: Flown, carried: Carried | None, fall: float, down: float
) -> float | None:
    """The factor on the flight's time, where that alone is wrong: the ground says so."""
    if carried is None:
        return None
    limit = BEYOND_SHARE * basis.height.scene_m * basis.settings.factor("carry")
    wrong = carried.sure_m > limit + carried.unsure_m
    return sqrt(down / fall) if wrong and carried.retimed_m <= limit else None


def _level(basis: Basis, flown: Flown, carried: Carried | None, took: float) -> Floats:
    """(2,) the level velocity, scene m/s, with which it leaves."""
    com = com_of(basis)
    air = _air(com, flown, basis.dt_s)
    if carried is None:
        return air
    limit = BEYOND_SHARE * basis.height.scene_m * basis.settings.factor("carry")
    if carried.sure_m <= limit + carried.unsure_m:
        return air
    if carried.breaks:
        return _air(com, flown, basis.dt_s, EARLY_SHARE)
    return air - carried.way * carried.size_m / took


def _air(com: Floats, flown: Flown, dt_s: float, share: float = 1.0) -> Floats:
    """(2,) the mean level velocity in the first share of the flight."""
    path = com[flown.flight.first : flown.flight.last + 1, :2]
    count = min(max(round(share * len(path)), LEAST_EARLY), len(path))
    time = np.arange(count) * dt_s
    return np.asarray(np.polynomial.polynomial.polyfit(time, path[:count], 1)[1])
