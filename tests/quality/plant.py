# SPDX-License-Identifier: GPL-3.0-or-later
"""All kinds of faults, and how one is planted."""

from types import MappingProxyType

import numpy as np

from .case import Case
from .faults import hitches, pops, stops
from .planted import Kind, Planted

KINDS: MappingProxyType[str, Kind] = MappingProxyType(
    {kind.name: kind for kind in (*pops.KINDS, *hitches.KINDS, *stops.KINDS)}
)


def plant(
    case: Case, kind: str, size: float, part: str, rng: np.random.Generator
) -> Planted | None:
    """A fault of a kind of KINDS in a clean case, or None where it has no fitting place."""
    return KINDS[kind].plant(case, size, part, rng)
