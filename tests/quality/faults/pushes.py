# SPDX-License-Identifier: GPL-3.0-or-later
"""Pushes from outside on simulated bodies: planted in the simulation, not into its clip."""

import numpy as np

from analysis import Clip, Settings
from analysis.basis import build_basis

from ..case import Case
from ..planted import Kind, Planted
from ..simulated import SimulatedCase, clip_of_take, frames_of, pushed, store

SETS_OF_FALLS = ("simulated_24/falls", "simulated_30/falls")
SETS_OF_FLIGHTS = ("simulated_24/flights", "simulated_30/flights")
# A push moves all of the body, and the chest first.
CARRIERS = (None, "root", "pelvis", "spine.1", "chest")


# A push in the air is planted where a flight is seen for so many frames, so long after what throws
# the body, and so far inside of it: a speed must have been there to be changed.
LEAST_SAMPLES, INSIDE, AFTER_S = 9, 2, 0.1


def _flies(clip: Clip, frames: tuple[float, float]) -> bool:
    """Whether a body is seen to fly for long enough about some frames of a clip."""
    basis = build_basis(clip, Settings())
    thrown = max((e.frames[1] + AFTER_S * clip.fps for e in clip.meta.events), default=0.0)
    for flight in basis.flights:
        first, last = max(basis.frames[flight.first], thrown), basis.frames[flight.last]
        if first + INSIDE <= frames[0] and frames[1] <= last - INSIDE:
            return bool(last - first + 1.0 >= LEAST_SAMPLES)
    return False


def _planter(kind: str):
    """What plants one kind of push."""

    def plant_push(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
        """One of the pushes of that size that the case was simulated with, or None."""
        if not isinstance(case, SimulatedCase):
            return None
        takes = pushed(case, kind, size)
        if not takes:
            return None
        take = int(rng.choice(takes))
        push = store().facts[take]["push"]
        x, y, z = push["direction"]
        clip = clip_of_take(take, case.fps, case.name)
        frames = frames_of(push["seconds"], case.fps)
        if kind == "air" and not _flies(clip, frames):
            return None
        return Planted(
            clip=clip,
            check="push",
            part=None,
            carriers=CARRIERS,
            frames=frames,
            size=size,
            where=f"{push['newtons']:.0f} N to ({x:.2f}, {y:.2f}, {z:.2f})",
            direction=(x, y, z),
        )

    return plant_push


def _kind(name: str, says: str, unit: str, sizes: tuple[float, ...], promised: float, sets) -> Kind:
    return Kind(
        name=name,
        check="push",
        says=says,
        unit=unit,
        sizes={"body": sizes},
        promised={"body": (promised, promised)},
        sets=sets,
        plant=_planter(name),
    )


KINDS = (
    _kind(
        "push",
        "the chest of a body that falls is pushed for .12 s, simulated",
        "BW",
        (0.25, 0.5, 1.0, 2.0),
        0.5,
        SETS_OF_FALLS,
    ),
    _kind(
        "impulse",
        "a body that falls is given a speed within a thirtieth of a second, simulated",
        "m/s",
        (0.4, 0.66, 1.0),
        0.66,
        SETS_OF_FALLS,
    ),
    _kind(
        "air",
        "a body in flight is given a level speed within a thirtieth of a second, simulated",
        "m/s",
        (0.3, 0.5, 1.0),
        0.5,
        SETS_OF_FLIGHTS,
    ),
)
