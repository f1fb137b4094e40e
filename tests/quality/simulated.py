# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean sets of simulated motion: falls, limp and stiff, hops, and bodies that are thrown.

MuJoCo made them (`tests/simulation`), so that every force on them is known. Families:
`falls` (limp, stiff), `flights` (hops, throws), and `declared`: falls and flights in which the
chest is pushed, with that push declared as an event. What throws a body is declared as well.
Feet of bodies that fall and push off drag over the floor, so that `slide` is not asked of them.
"""

import os
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis.meta import Event

from ..simulation.stored import Motion, Store, read
from .case import Case
from .simulated_clip import clip_of

Floats = NDArray[np.float64]

VARIABLE = "PLUMBLINE_SIMULATED"
FAMILY = {"limp": "falls", "stiff": "falls", "hops": "flights", "throws": "flights"}
# Of every n-th scene the first take of each such push is told again, with that push declared.
DECLARED_EVERY = 4
# The sizes whose pushes are declared.
DECLARED = {"push": 0.5, "impulse": 0.66, "air": 0.5}


@dataclass(frozen=True, eq=False)
class SimulatedCase(Case):
    """A clean clip with the take it shows: its number in the store, frames a second."""

    take: int
    fps: int


def simulated_24() -> list[Case]:
    """The simulated motion as a scene at 24 frames a second has it."""
    return _cases("simulated_24", 24)


def simulated_30() -> list[Case]:
    """The simulated motion as a scene at 30 frames a second has it."""
    return _cases("simulated_30", 30)


@cache
def store() -> Store:
    """All that was simulated; raises ValueError where the environment does not say where it is."""
    path = os.environ.get(VARIABLE)
    if not path:
        raise ValueError(
            f"{VARIABLE} is not set, expected the file that `python -m tests.simulation FILE` "
            "writes: start this through blender_test_runner.py."
        )
    return read(Path(path))


def motion_of(case: SimulatedCase) -> Motion:
    """What is known of a clean case: its true centre of mass, when something touches."""
    return store().motion(case.take, case.fps)


def pushed(case: SimulatedCase, kind: str, size: float) -> list[int]:
    """The takes in which a clean case is pushed so."""
    return _pushed().get((case.take, kind, size), [])


def clip_of_take(take: int, fps: int, name: str, *, declared: bool = False) -> Clip:
    """A take as a clip; what throws it is an event, and its push where that is `declared`."""
    motion = store().motion(take, fps)
    facts, events = motion.facts, []
    if facts["declared"]:
        events.append(Event(frames=frames_of(facts["declared"], fps)))
    if declared:
        push = facts["push"]
        x, y, z = push["direction"]
        event = Event(frames=frames_of(push["seconds"], fps), part="chest", direction=(x, y, z))
        events.append(event)
    world: dict[str, Any] = facts["world"]
    return clip_of(
        name,
        motion.pose,
        float(fps),
        size=world["size"],
        boxes=world["boxes"],
        events=tuple(events),
    )


def frames_of(seconds: tuple[float, float], fps: int) -> tuple[float, float]:
    """The frames between which something happens: the last before it, the first after it."""
    first, last = seconds
    return float(np.floor(first * fps + 1e-6) + 1.0), float(np.ceil(last * fps - 1e-6) + 1.0)


def _cases(which: str, fps: int) -> list[Case]:
    found: list[Case] = []
    again = {
        takes[0]
        for (clean, kind, size), takes in _pushed().items()
        if DECLARED[kind] == size and store().facts[clean]["number"] % DECLARED_EVERY == 0
    }
    for take, facts in enumerate(store().facts):
        push = facts["push"]
        family = FAMILY[facts["family"]]
        if push is None:
            found.append(_case(f"{which}/{family}/{facts['name']}", which, take, fps))
        elif take in again:
            name = f"{which}/declared/{facts['name']}/{push['kind']}.{take}"
            found.append(_case(name, which, take, fps, declared=True))
    return found


def _case(name: str, which: str, take: int, fps: int, *, declared: bool = False) -> Case:
    facts = store().facts[take]
    return SimulatedCase(
        name,
        facts["family"],
        which,
        facts["half"],
        clip_of_take(take, fps, name, declared=declared),
        faulty=("slide",),
        take=take,
        fps=fps,
    )


@cache
def _pushed() -> dict[tuple[int, str, float], list[int]]:
    """(clean take, kind, size) -> takes."""
    found: dict[tuple[int, str, float], list[int]] = {}
    for take, facts in enumerate(store().facts):
        if (push := facts["push"]) is not None:
            key = (facts["follows"], push["kind"], push["size"])
            found.setdefault(key, []).append(take)
    return found
