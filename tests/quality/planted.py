# SPDX-License-Identifier: GPL-3.0-or-later
"""A planted fault, and what a kind of fault is: the contract of the modules in `faults`."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from analysis import Clip

from .case import Case


@dataclass(frozen=True, eq=False)
class Planted:
    """A clip with one fault.

    check     the check that is to find it
    part      the part that shows it, with its side; None for the whole figure
    carriers  parts that a finding may rightly name: the part, or what was moved to carry it
    frames    first and last frame number that are wrong
    size      as planted and measured again, in the kind's unit
    where     a few words on how it was planted
    amount    what a finding must say, in its own unit, to be right; None where that is free
    whole     whether the clip is judged as a whole, and not only around the fault
    direction where a push goes to, a vector in the world; None of what has no direction
    beside    another shot of the same figure that is checked in the same go, or None
    """

    clip: Clip
    check: str
    part: str | None
    carriers: tuple[str | None, ...]
    frames: tuple[float, float]
    size: float
    where: str
    amount: float | None = None
    whole: bool = False
    beside: Clip | None = None
    direction: tuple[float, float, float] | None = None


Plant = Callable[[Case, float, str, np.random.Generator], Planted | None]


@dataclass(frozen=True, eq=False)
class Kind:
    """A kind of fault.

    name      unique; check: who is to find it
    says      what is done to the clip, for the report
    unit      of the sizes
    sizes     part -> sizes to plant
    promised  part -> from which size it must be found, on captured and on keyed motion
    sets      clean sets that it is planted into; `cycles/cut` is that family of a set
    unpromised   sets of those for which nothing is promised
    each_size    whether larger sizes are no easier, so that each is promised by itself
    plant     (case, size, part, rng) -> Planted, or None where that case has no such place
    cycle     whether the clips play as loops and are judged whole
    """

    name: str
    check: str
    says: str
    unit: str
    sizes: Mapping[str, tuple[float, ...]]
    promised: Mapping[str, tuple[float, float]]
    sets: tuple[str, ...]
    plant: Plant
    cycle: bool = False
    unpromised: tuple[str, ...] = ()
    each_size: bool = False
