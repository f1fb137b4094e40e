# SPDX-License-Identifier: GPL-3.0-or-later
"""Plants that slip too far, and what several of them have in common."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis.slips import MIDDLE, Part, Slip
from .looped import Places

Floats = NDArray[np.float64]

# So many others that go one way, by this share of what they slip, excuse none.
SKATING_PLANTS, SKATING_SHARE = 4, 0.8
# Two feet slip together where their slips overlap by this share of the shorter one, and differ
# by this share of the longer way at most.
OVERLAP_SHARE, ALIKE_SHARE = 0.5, 0.5
# They slip apart where they differ by the longer way, or more.
AGAINST_SHARE = 1.0


@dataclass(frozen=True, eq=False)
class Slid:
    """A part of a plant that slips: its way (3,), the limit, and how unsure it is, metres.

    places   where its samples lie on the range
    """

    slip: Slip
    part: Part
    way: Floats
    limit: float
    error: float
    places: Places

    @property
    def metres(self) -> float:
        """How far it slips."""
        return float(np.linalg.norm(self.way))


def unsure(slips: list[Slip], leave: int) -> float:
    """How unsure an amount is, metres: what the middle of half of the other plants slips."""
    others = [p.metres for m, s in enumerate(slips) if m != leave and (p := s.part(MIDDLE))]
    return float(np.median(others)) if others else 0.0


def pairs_of(slid: list[Slid]) -> tuple[list[tuple[Slid, Slid]], list[tuple[Slid, Slid]]]:
    """Slips of both feet at once: those that go the same way, and those that do not.

    Each slip is in one pair at most, left foot first.
    """
    alike: list[tuple[Slid, Slid]] = []
    against: list[tuple[Slid, Slid]] = []
    left = [each for each in slid if each.slip.plant.side == "L"]
    right = [each for each in slid if each.slip.plant.side == "R"]
    for one in left:
        at_once = [each for each in right if _at_once(one, each)]
        for found, least, most in ((alike, 0.0, ALIKE_SHARE), (against, AGAINST_SHARE, np.inf)):
            other = next((each for each in at_once if least <= _differ(one, each) <= most), None)
            if other is not None:
                right.remove(other)
                found.append((one, other))
                break
    return alike, against


def _at_once(one: Slid, other: Slid) -> bool:
    shorter = min(each.part.last - each.part.first for each in (one, other))
    shared = max(
        min(one.part.last, other.part.last + later) - max(one.part.first, other.part.first + later)
        for later in one.places.rounds()
    )
    return shared >= OVERLAP_SHARE * shorter


def _differ(one: Slid, other: Slid) -> float:
    """By which share of the longer way two slips differ."""
    far = max(one.metres, other.metres)
    return float(np.linalg.norm(one.way - other.way)) / max(far, 1e-12)
