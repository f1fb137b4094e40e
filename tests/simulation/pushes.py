# SPDX-License-Identifier: GPL-3.0-or-later
"""Pushes on the chest of known time, size and direction: in falls, and in flights."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .engine import Engine, Force, Take
from .scenes import FALLS, SEED, Plan
from .stored import RATE

Floats = NDArray[np.float64]

GRAVITY = 9.80665
# Kind -> size -> in how many ways it is planted into each scene; below one: into every n-th.
# `push` in body weights for PUSH_S; `impulse` and `air` in m/s given to the whole body at once.
FALL_PUSHES = {
    "push": {0.25: 0.25, 0.5: 3.0, 1.0: 0.25, 2.0: 0.25},
    "impulse": {0.4: 0.25, 0.66: 3.0, 1.0: 0.25},
}
FLIGHT_PUSHES = {"air": {0.3: 0.5, 0.5: 3.0, 1.0: 0.5}}
PUSH_S, AT_ONCE_S = 0.12, 1.0 / 30.0
# A fall is one from this speed on (m/s at size 1). A push in it begins so long after the scene,
# as nothing tells what moved a body before that, and ends so long before more than feet touch.
# In a flight it lies so far from where that begins and ends (a foot is seen to be up from 6 cm on),
# and so long after what throws the body into it.
FALLS_M_S, BEGINS_S, BEFORE_HIT_S = 0.25, 0.2, 0.05
INSIDE_S, AFTER_THROW_S = 0.15, 0.35
# So long is simulated after it.
AFTER_S = 1.2
# It comes from any side, up to so far (radians) from above or below; in flight level.
SLOPE = 0.4


@dataclass(frozen=True)
class Push:
    """What was planted: kind, size in its unit, when (s), where to, and how many newtons."""

    kind: str
    size: float
    seconds: tuple[float, float]
    direction: tuple[float, float, float]
    newtons: float


def pushes(plan: Plan, engine: Engine, clean: Take) -> Iterator[tuple[Push, Take]]:
    """Every push that is planted into a scene, with the take from its start on."""
    wanted = FALL_PUSHES if plan.family in FALLS else FLIGHT_PUSHES
    if plan.family in FALLS:
        room = _in_fall(clean, engine.world.size)
    else:
        room = _in_flight(clean, plan.declared)
    for kind, sizes in wanted.items():
        for n, (size, count) in enumerate(sizes.items()):
            key = [SEED, list(wanted).index(kind), n, plan.number, "AB".index(plan.half)]
            rng = np.random.default_rng([*key, ord(plan.family[0])])
            every = max(round(1.0 / count), 1)
            for _ in range(max(round(count), 1) if (plan.number + n) % every == 0 else 0):
                drawn = _draw(kind, size, room, clean, rng)
                if drawn is not None:
                    push, force = drawn
                    ends = min(plan.scene.seconds, force.seconds[1] + AFTER_S)
                    forces = (*plan.scene.forces, force)
                    scene = replace(plan.scene, forces=forces, seconds=ends)
                    yield push, engine.run(scene, after=clean, record=force.record)


def _draw(
    kind: str, size: float, room: tuple[int, int], clean: Take, rng: np.random.Generator
) -> tuple[Push, Force] | None:
    lasts = PUSH_S if kind == "push" else AT_ONCE_S
    first, last = room[0], room[1] - int(np.ceil(lasts * RATE))
    if last < first:
        return None
    gained = size * (GRAVITY * lasts if kind == "push" else 1.0)
    newtons = float(gained * clean.mass_kg / lasts)
    about, slope = rng.uniform(0.0, 2.0 * np.pi), rng.uniform(-SLOPE, SLOPE)
    slope = 0.0 if kind == "air" else slope
    level = np.cos(slope)
    way = (float(np.cos(about) * level), float(np.sin(about) * level), float(np.sin(slope)))
    start = int(rng.integers(first, last + 1))
    force = Force(start, lasts, "chest", (newtons * way[0], newtons * way[1], newtons * way[2]))
    return Push(kind, size, force.seconds, way, newtons), force


def _in_fall(clean: Take, size: float) -> tuple[int, int]:
    """First and last record of a fall in which a push may lie."""
    speed = np.linalg.norm(np.gradient(clean.com, axis=0), axis=1) * RATE
    falls = np.flatnonzero(speed > FALLS_M_S * np.sqrt(size))
    hit = np.flatnonzero(clean.others)
    last = (int(hit[0]) if len(hit) else len(speed)) - round(BEFORE_HIT_S * RATE)
    first = int(falls[0]) if len(falls) else len(speed)
    return max(first, round(BEGINS_S * RATE)), last


def _in_flight(clean: Take, declared: tuple[float, float] | None) -> tuple[int, int]:
    """First and last record inside the longest flight in which a push may lie."""
    first, last = longest_flight(clean)
    first += round(INSIDE_S * RATE)
    if declared is not None:
        first = max(first, round((declared[1] + AFTER_THROW_S) * RATE))
    return first, last - round(INSIDE_S * RATE)


def longest_flight(clean: Take) -> tuple[int, int]:
    """First and last record of the longest time without touch; (0, -1) without any."""
    air = ~(clean.feet | clean.others)
    steps = np.diff(np.concatenate(([0], air.astype(int), [0])))
    starts, ends = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1) - 1
    if not len(starts):
        return 0, -1
    at = int(np.argmax(ends - starts))
    return int(starts[at]), int(ends[at])
