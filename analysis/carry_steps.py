# SPDX-License-Identifier: GPL-3.0-or-later
"""How far a body travels in each step of a walk, against what the leg that bears carries it.

A walker's centre of mass goes over the foot that stands as on an inverted pendulum: slowest where
it is over the foot, and from over one foot to over the next by the time that takes, times the
speed over both, times a little more (the arc's share: 1.0 to 1.2 from a brisk walk to a shuffle;
within one walk of healthy, parkinsonian and hemiparetic people alike to 4 %, in three published
recordings). A step in which the body goes clearly further, while it passes over both feet as fast
as before, floats: nothing pushes it on, and nothing stops it.
"""

import itertools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.contacts import Plant
from .basis.core import SPEED_WINDOW_S
from .declared import of_figure
from .lap import Lap, find_lap
from .loop import Cycle
from .once import once
from .smoothing import smooth

Floats = NDArray[np.float64]

# A step lasts so long, and leads on by this share of the height (25 cm at 1.7 m), to where it
# stands no higher or lower than by the other (5 cm).
SHORTEST_S, LONGEST_S = 0.2, 1.2
LEAST_SHARE, LEVEL_SHARE = 0.25 / 1.7, 0.05 / 1.7
# It goes where the figure faces, or back, by this cosine, and on as the step before it does.
AHEAD, ON = 0.7, 0.9
# It is compared with so many before and after it, three or more in all.
BESIDE, FEWEST = 4, 3
# The speed over a foot is no higher than the highest over so many feet before and after it.
AROUND = 2
# It passes over both feet at no less and no more than so many times the speed of those.
ALIKE = (0.6, 1.0 / 0.6)


@dataclass(frozen=True)
class Step:
    """From over one foot (side, place `first` in samples) to over the next one (`last`).

    metres    between these; seconds: how long it takes
    over      m/s, at either moment; speed: the mean of both; ratio: metres over seconds and speed
    way (2,)  unit vector, level
    """

    side: str
    first: float
    last: float
    metres: float
    seconds: float
    over: tuple[float, float]
    way: Floats

    @property
    def speed(self) -> float:
        """The mean speed over both feet."""
        return 0.5 * (self.over[0] + self.over[1])

    @property
    def ratio(self) -> float:
        """How much further it goes than at the speed that it has over its feet."""
        return self.metres / (self.seconds * self.speed)


@dataclass(frozen=True)
class Stepped:
    """A step, and how far the arc of the steps beside it carries a body in it, metres: by the
    largest of their ratios but one."""

    step: Step
    carried_m: float

    @property
    def beyond_m(self) -> float:
        """How much further it goes."""
        return self.step.metres - self.carried_m

    @property
    def beyond(self) -> float:
        """The same as a share of that."""
        return self.step.metres / self.carried_m - 1.0


def find_stepped(basis: Basis) -> list[Stepped]:
    """The steps of a range that can be compared with three or more of the same walk."""
    found = []
    for walk in map(_calmed, _walks(find_steps(basis))):
        for n, step in enumerate(walk):
            beside = [*walk[max(n - BESIDE, 0) : n], *walk[n + 1 : n + 1 + BESIDE]]
            if len(beside) < FEWEST:
                continue
            usual = float(np.median([each.speed for each in beside]))
            if ALIKE[0] * usual <= step.speed <= ALIKE[1] * usual:
                # Of what begins before the body is over a foot, the step before it holds a part.
                ratio = sorted(each.ratio for each in beside)[-2]
                found.append(Stepped(step, ratio * step.speed * step.seconds))
    return found


def _calmed(walk: list[Step]) -> list[Step]:
    """The steps with no foot passed over faster than the fastest of those around it: a body that
    shoots over one foot in the midst of a step is not carried further by that."""
    speeds = [walk[0].over[0], *(each.over[1] for each in walk)]
    calm = []
    for n, speed in enumerate(speeds):
        around = [*speeds[max(n - AROUND, 0) : n], *speeds[n + 1 : n + 1 + AROUND]]
        calm.append(min(speed, max(around)))
    return [replace(each, over=(calm[n], calm[n + 1])) for n, each in enumerate(walk)]


@once
def find_steps(basis: Basis) -> list[Step]:
    """Steps straight on, on level ground, from foot to foot, in time's order."""
    lap = find_lap(basis, Cycle(plays=False, why="")) if basis.com is not None else None
    if lap is None or lap.com is None:
        return []
    speed = smooth(lap.com, basis.dt_s, window_s=SPEED_WINDOW_S, derivative=1)
    steps = [_step(basis, lap, speed, *two) for two in itertools.pairwise(_in_turn(basis))]
    return [each for each in steps if each is not None]


def _in_turn(basis: Basis) -> list[Plant]:
    """Plants in time's order; of those of one foot in a row the longest."""
    kept: list[Plant] = []
    for plant in sorted(basis.plants, key=lambda each: each.first):
        if kept and kept[-1].side == plant.side:
            longer = plant.last - plant.first > kept[-1].last - kept[-1].first
            kept[-1] = plant if longer else kept[-1]
        else:
            kept.append(plant)
    return kept


def _step(basis: Basis, lap: Lap, speed: Floats, here: Plant, there: Plant) -> Step | None:
    """The step from over one planted foot to over the next; None where it is no plain one."""
    height = basis.height.scene_m
    feet = [lap.places[each.side][(each.first + each.last) // 2] for each in (here, there)]
    gap = (feet[1] - feet[0])[:2]
    far = float(np.linalg.norm(_way(lap, here.first, there.last)))
    if lap.com is None or far < LEAST_SHARE * height:
        return None
    way = _way(lap, here.first, there.last) / far
    level = abs(float(feet[1][2] - feet[0][2])) < LEVEL_SHARE * height
    if not level or float(gap @ way) < LEAST_SHARE * height:
        return None
    times = [
        _over(lap.com[:, :2] @ way - foot[:2] @ way, each)
        for foot, each in zip(feet, (here, there), strict=True)
    ]
    if times[0] is None or times[1] is None:
        return None
    first, last = times[0], times[1]
    seconds = (last - first) * basis.dt_s
    if not SHORTEST_S <= seconds <= LONGEST_S or not _is_plain(basis, lap, first, last, way):
        return None
    at = np.arange(len(speed))
    over = [float(np.interp(time, at, speed[:, :2] @ way)) for time in (first, last)]
    if min(over) <= 0.0:
        return None
    metres = float(np.diff(np.interp([first, last], at, lap.com[:, :2] @ way))[0])
    return Step(here.side, first, last, metres, seconds, (over[0], over[1]), way)


def _way(lap: Lap, first: int, last: int) -> Floats:
    assert lap.com is not None
    return np.asarray((lap.com[last] - lap.com[first])[:2])


def _over(ahead: Floats, plant: Plant) -> float | None:
    """When, in samples, a body comes over a foot, by how far it is ahead of it (T,)."""
    first, last = max(plant.first - 1, 0), min(plant.last + 1, len(ahead) - 1)
    piece = ahead[first : last + 1]
    passes = np.flatnonzero((piece[:-1] < 0.0) & (piece[1:] >= 0.0))
    if len(passes) == 0:
        return None
    at = int(passes[0])
    return first + at + float(piece[at] / (piece[at] - piece[at + 1]))


def _is_plain(basis: Basis, lap: Lap, first: float, last: float, way: Floats) -> bool:
    """Whether all that bears the body are its feet, it goes where it faces, or back, and all is
    known and caused by itself."""
    span = slice(int(first), int(last) + 2)
    faces = abs(float(lap.facing[span, :2].mean(axis=0) @ way)) >= AHEAD
    clear = not (lap.air[span].any() or lap.borne[span].any())
    known = bool(lap.known[span].all())
    return faces and clear and known and not of_figure(basis, span.start, span.stop - 2)


def _walks(steps: list[Step]) -> list[list[Step]]:
    """Steps in rows that go on from each other, the same way."""
    rows: list[list[Step]] = []
    for step in steps:
        last = rows[-1][-1] if rows else None
        goes_on = last is not None and abs(step.first - last.last) <= 0.25 * (
            step.last - step.first
        )
        if last is not None and goes_on and float(step.way @ last.way) >= ON:
            rows[-1].append(step)
        else:
            rows.append([step])
    return rows
