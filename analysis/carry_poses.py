# SPDX-License-Identifier: GPL-3.0-or-later
"""Carry in stepped blocking: whether the highest pose of a flight lies where its time has it.

In the air the level velocity stays as it is, so that a pose that comes after a share of the time
from the one that leaves to the one that lands lies at the same share of the way.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .declared import is_declared
from .flown import Flown
from .free_fall import GRAVITY

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Posed:
    """at       the sample on which the highest pose begins
    off (2,)  how far it lies off its place, metres of the scene
    share     of the time from leaving to landing at which it comes
    """

    flown: Flown
    at: int
    off: Floats
    share: float


def find_posed(basis: Basis, flown: Sequence[Flown]) -> list[Posed]:
    """Of each flight between two poses that are told to leave and to land."""
    found = [_posed(basis, each) for each in flown]
    return [each for each in found if each is not None]


def _posed(basis: Basis, flown: Flown) -> Posed | None:
    # A leg that still stretches, or bends already, leaves the moment open, but for what is too
    # quick even with all of the time.
    open_ended = flown.open is not None and flown.open.least < GRAVITY
    if basis.com is None or open_ended:
        return None
    if is_declared(basis, basis.lead, flown.leaves, flown.lands):
        return None
    inside = basis.com[flown.leaves + 1 : flown.lands]
    at = flown.leaves + 1 + int(np.argmax(inside[:, 2]))
    share = (at - flown.leaves) / (flown.lands - flown.leaves)
    start, end = basis.com[flown.leaves, :2], basis.com[flown.lands, :2]
    off = basis.com[at, :2] - (start + share * (end - start))
    return Posed(flown, at, off, share)
