# SPDX-License-Identifier: GPL-3.0-or-later
"""Plants that slip too far, and what several of them have in common."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.slips import MIDDLE, Part, Slip
from .looped import Places
from .memory import recalled

Floats = NDArray[np.float64]

# So many others that go one way, by this share of what they slip, excuse none.
SKATING_PLANTS, SKATING_SHARE = 4, 0.8
# Two feet slip together where their slips overlap by this share of the shorter one, and differ
# by this share of the longer way at most.
OVERLAP_SHARE, ALIKE_SHARE = 0.5, 0.5
# A plant with fewer steps that can be judged says nothing; a slip that is blamed for so little as
# that of a held foot needs a foot that stands for longer. One that takes so long as it lands or
# pushes off is on its way no more.
LEAST_STEPS, LEAST_EXACT_S = 2, 0.12
# A plant slips when it slips so many times further than half of the others do; fewer others than
# this tell no habit.
OWN_TIMES, LEAST_OTHERS = 3.0, 3
# ... and so many times further than nine tenths of them, where there are so many.
TAIL_TIMES, TAIL_QUANTILE, TAIL_OTHERS = 1.5, 0.9, 12
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


def takes_long(basis: Basis, part: Part) -> bool:
    """Whether a foot slips for so long at an end of its plant that it is on its way no more."""
    steps = part.last - part.first
    return part.name != MIDDLE and steps >= LEAST_STEPS and steps * basis.dt_s >= LEAST_EXACT_S


def usual_size(basis: Basis, ways: list[Floats]) -> float:
    """How far plants (N,3) slip that go this way and that; 0 where there are too few."""
    return recalled(basis.memory, _usual_size, np.array(ways))


def _usual_size(ways: Floats) -> float:
    if len(ways) < LEAST_OTHERS:
        return 0.0
    sizes, common = np.linalg.norm(ways, axis=1), np.median(ways, axis=0)
    if len(ways) >= SKATING_PLANTS and np.linalg.norm(common) > SKATING_SHARE * sizes.mean():
        sizes = np.linalg.norm(ways - common, axis=1)
    usual = float(np.median(sizes))
    if len(ways) >= TAIL_OTHERS:
        usual = max(usual, TAIL_TIMES / OWN_TIMES * float(np.quantile(sizes, TAIL_QUANTILE)))
    return usual


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


def with_hands(feet: list[Slid], hands: list[Slid]) -> list[list[Slid]]:
    """Slips of feet and hands at once and the same way: what they stand on, or what carries them,
    is one cause. Each slip is in one group at most, each body once in a group, feet first."""
    groups: list[list[Slid]] = []
    left = [*feet, *hands]
    for one in feet:
        alike = {one.slip.plant.body: one}
        for each in left:
            if each is not one and _at_once(one, each) and _differ(one, each) <= ALIKE_SHARE:
                alike.setdefault(each.slip.plant.body, each)
        group = list(alike.values())
        if one in left and any(each in hands for each in group):
            groups.append(group)
            left = [each for each in left if each not in group]
    return groups


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
