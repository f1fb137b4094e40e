# SPDX-License-Identifier: GPL-3.0-or-later
"""How fast feet come down: the speed of the sole's lowest point as it touches.

A foot that slows down into the floor is faster a frame earlier, by as much again at 24 frames a
second: its speed is told at a time before it touches that does not depend on where the frames lie.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..free_fall import fit_fall
from .contacts import Plant, Soles

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Shares of the height; at 1.7 m: a sole touches once it is this near to the height on which it
# stands (.5 cm).
TOUCH_SHARE = 0.005 / 1.7
# Or once it is this near (1.2 cm), and its point goes no faster than this from there (.1 m/s): a
# heel that is guessed too far back hangs over the floor on which the foot rolls.
ROLL_SHARE, ROLL_STILL_SHARE = 0.012 / 1.7, 0.1 / 1.7
# A landing is looked for so long around the sample on which the foot begins to stand.
BEFORE_S, AFTER_S = 0.2, 0.12
# The height on which it stands is the lowest within so long of that.
STANDS_S = 0.2
# The speed of a foot that trembles is told over as many steps as it takes to know it this well
# (share of the height a second; 3 cm/s at 1.7 m), and over so long at most.
KNOWN_SHARE, LONGEST_S = 0.03 / 1.7, 0.1
# A speed is told so long before the touch (half a frame at 24 a second), from so many samples; how
# the sole comes down is kept for so long.
TOLD_S, SAMPLES, KEPT_S = 1.0 / 48.0, 3, 0.1
# A flight ends so long before the foot touches, at most: it is told from 6 cm up.
FLOWN_S = 0.15


@dataclass(frozen=True, eq=False)
class Landing:
    """One foot's touch-down.

    plant   the plant that it begins
    at      the first sample on which the sole touches
    speed   m/s downwards just before that, of the point of the sole that touches
    fall    m/s at which the body itself comes down there
    flown   m/s at which it falls there as it fell in the air; 0 where it comes out of no flight
    rise    metres by which the foot stands higher than where it stood before; 0 where that is
            not known
    unsure  standard deviation of the speed where the foot trembles, m/s
    level   metres above what bears it at which the sole's lowest point stands then
    """

    plant: Plant
    at: int
    speed: float
    fall: float
    rise: float
    above: Floats
    unsure: float = 0.0
    level: float = 0.0
    flown: float = 0.0


def find_landings(basis: "Basis") -> tuple[Landing, ...]:
    """The touch-downs of all plants whose beginning the range shows, in the order of plants."""
    of = {each.sole.side: each for each in basis.soles}
    found = [_landing(basis, of[plant.side], plant) for plant in basis.plants if plant.lands]
    return tuple(each for each in found if each is not None)


def _landing(basis: "Basis", soles: Soles, plant: Plant) -> Landing | None:
    """None where the foot is low for longer than is looked at, or its fall is not known whole."""
    lowest = soles.clearance.min(axis=1)
    before, after = round(BEFORE_S / basis.dt_s), max(round(AFTER_S / basis.dt_s), 1)
    stands = lowest[plant.first : plant.first + max(round(STANDS_S / basis.dt_s), 2) + 1]
    level = float(stands.min()) + _lowered(len(stands)) * basis.tremble
    height, steps = lowest - level, _steps(basis)
    first = max(plant.first - before, 0)
    last = min(plant.first + after, plant.last)
    floor = TOUCH_SHARE * basis.height.scene_m + basis.tremble
    touches = height[first : last + 1] <= floor
    if steps == 1 and not touches[0]:
        touches |= _rolls(basis, soles, first, height[first : last + 1])
    if touches[0] or not touches.any():
        return None
    at = first + int(np.argmax(touches))
    kept = max(at - max(round(KEPT_S / basis.dt_s), SAMPLES), 0)
    if at < max(steps, SAMPLES) or not soles.sole.known[min(first, kept) : last + 1].all():
        return None
    path = soles.sole.points[: at + 1, :, 2]
    # Where it trembles, which point touched first is not known.
    path = path[:, int(np.argmin(soles.clearance[at]))] if steps == 1 else path.min(axis=1)
    speed = _speed(path - path[at] + height[at], max(floor, height[at]), basis.dt_s, steps)
    unsure = _slope_error(steps) * basis.tremble / basis.dt_s
    fall, rise = _fall(basis, at), _rise(basis, soles, plant)
    above, flown = height[kept : at + 1], _flown(basis, at)
    return Landing(plant, at, speed, fall, rise, above, unsure, level, flown)


def _rolls(basis: "Basis", soles: Soles, first: int, height: Floats) -> Bools:
    """(N,) whether the lowest point is near the floor and stays where it is, at samples from
    `first` on, `height` (N,) metres above where the foot stands; never at the first of them."""
    at = np.arange(first, min(first + len(height), len(soles.steps)))
    lowest = soles.clearance[at].argmin(axis=1)
    pace = np.linalg.norm(soles.steps[at, lowest], axis=-1) / basis.dt_s
    scene_m = basis.height.scene_m
    rolls = np.zeros(len(height), dtype=bool)
    rolls[: len(at)] = pace <= ROLL_STILL_SHARE * scene_m
    rolls[0] = False
    return rolls & (height <= ROLL_SHARE * scene_m)


def _lowered(count: int) -> float:
    """By how many standard deviations the lowest of so many samples lies below their mean.

    The usual bound on the expected extreme of normal values; it is less by a fifth or so for
    few of them, and the lowest of three points is taken of each.
    """
    return float(np.sqrt(2.0 * np.log(count)))


def _steps(basis: "Basis") -> int:
    """Over how many steps a landing's speed is told: one, more where the feet tremble."""
    known = KNOWN_SHARE * basis.height.scene_m * basis.dt_s
    most = max(round(LONGEST_S / basis.dt_s), 1)
    steps = 1
    while steps < most and _slope_error(steps) * basis.tremble > known:
        steps += 1
    return steps


def _slope_error(steps: int) -> float:
    """The error of a line's slope through steps + 1 samples, of theirs (least squares)."""
    count = steps + 1
    return float(np.sqrt(12.0 / (count * (count * count - 1.0))))


def _speed(height: Floats, floor: float, dt_s: float, steps: int) -> float:
    """Speed downwards as heights (N,) over the stand come to the floor at the last, m/s.

    The three samples before it are free throughout; where the foot slows down over them, so it does
    after. They tell when it comes to `floor`, between two frames, and how fast it is a little
    before that. The last step is cut short by the floor, so that the foot is at least as fast as
    that tells. Over more steps than one it is a line's slope, of those before and those to it.
    """
    if steps > 1:
        return _slope(height[-steps - 1 :], dt_s)
    before, free, cut = -np.diff(height[-SAMPLES - 1 :])
    slows = min(free - before, 0.0)
    touch = _touch(height[-2] - floor, free + 0.5 * slows, slows)
    told = free + slows * (touch + 0.5 - TOLD_S / dt_s)
    return float(max(cut, told, 0.0)) / dt_s


def _touch(way: float, speed: float, slows: float) -> float:
    """When a foot has gone a way that it begins at a speed and slows down on, in steps; 1 at most.

    The root of speed t + slows t^2 / 2 = way; where it would come to rest before, about then.
    """
    pace = speed + float(np.sqrt(max(speed * speed + 2.0 * slows * way, 0.0)))
    return min(2.0 * way / pace, 1.0) if pace > 0.0 else 1.0


def _slope(height: Floats, dt_s: float) -> float:
    """How fast heights (N,) fall, by least squares, m/s; 0 where they rise."""
    at = np.arange(len(height)) - 0.5 * (len(height) - 1)
    return max(float(-(at @ height) / (at @ at)) / dt_s, 0.0)


def _fall(basis: "Basis", at: int) -> float:
    """How fast the body comes down just before a sample, m/s; 0 where it rises, or is unknown."""
    velocity = basis.com_velocity
    return 0.0 if velocity is None else max(float(-velocity[max(at - 1, 0), 2]), 0.0)


def _flown(basis: "Basis", at: int) -> float:
    """How fast the body comes down at a sample by the fall of the flight that ends there, m/s.

    What is measured there is less: the floor already slows the body down.
    """
    near = round(FLOWN_S / basis.dt_s)
    before = [each for each in basis.flights if 0 <= at - each.last <= near and each.known]
    if not before or basis.com is None:
        return 0.0
    flight = before[-1]
    fall = fit_fall(basis.com[flight.first : flight.last + 1], basis.dt_s)
    if fall is None:
        return 0.0
    since = (at - 0.5 * (flight.first + flight.last)) * basis.dt_s
    return max(fall.down * since - float(fall.velocity[2]), 0.0)


def _rise(basis: "Basis", soles: Soles, plant: Plant) -> float:
    """How much higher a foot stands than in its plant before, metres; 0 without such a one."""
    before = [p for p in basis.plants if p.side == plant.side and p.last <= plant.first]
    if not before:
        return 0.0
    levels = [
        float(np.median(soles.sole.points[p.first : p.last + 1, :, 2].min(axis=1)))
        for p in (max(before, key=lambda p: p.last), plant)
    ]
    return levels[1] - levels[0]
