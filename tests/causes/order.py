# SPDX-License-Identifier: GPL-3.0-or-later
"""Which controls a fault may be planted in, and whose turn it is."""

import zlib
from collections.abc import Sequence

import numpy as np

from .bases import Base
from .curves import TURNS, GroupName
from .kinds import family


def turned_round(names: Sequence[str], base: Base, kind: str, number: int) -> list[str]:
    """Names in an order that is drawn once for a kind in a base; each case begins further on."""
    seed = zlib.crc32(f"{base.name}, {kind}, order".encode())
    drawn = [str(each) for each in np.random.default_rng(seed).permutation(names)]
    at = number % max(1, len(drawn))
    return drawn[at:] + drawn[:at]


def suits(kind: str, name: GroupName, base: Base) -> bool:
    """Whether a kind may be planted in a group."""
    if kind == "flip":
        return name.prop in TURNS
    if kind == "reach":
        arms = base.rig == "rigify" and base.arms == "ik"
        limbs = ("foot_ik", "hand_ik") if arms else ("foot_ik",)
        return name.prop == "location" and family(name.control) in limbs
    return name.prop in ("location", *TURNS)
