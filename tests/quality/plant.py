# SPDX-License-Identifier: GPL-3.0-or-later
"""All kinds of faults, and how one is planted."""

from types import MappingProxyType

import numpy as np

from . import plant_loops
from .case import Case
from .faults import (
    balance,
    cameras,
    flight_holds,
    flights,
    frozen,
    grounds,
    hitches,
    knees,
    landings,
    limbs,
    linear_rock,
    pops,
    props,
    pushes,
    reaches,
    runs,
    settling,
    shoves,
    skates,
    slides,
    steps,
    stops,
    stray_keys,
    sways,
    swing_turns,
    topples,
    torso,
    turns,
)
from .planted import Kind, Planted

_FAMILIES = (
    plant_loops,
    pops,
    hitches,
    frozen,
    stops,
    settling,
    runs,
    turns,
    torso,
    limbs,
    knees,
    reaches,
    cameras,
    sways,
    props,
    slides,
    grounds,
    skates,
    landings,
    flight_holds,
    flights,
    balance,
    topples,
    pushes,
    swing_turns,
    linear_rock,
    shoves,
    steps,
    stray_keys,
)
KINDS: MappingProxyType[str, Kind] = MappingProxyType(
    {kind.name: kind for family in _FAMILIES for kind in family.KINDS}
)


def plant(
    case: Case, kind: str, size: float, part: str, rng: np.random.Generator
) -> Planted | None:
    """A fault of a kind of KINDS in a clean case, or None where it has no fitting place."""
    return KINDS[kind].plant(case, size, part, rng)
