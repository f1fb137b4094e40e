# SPDX-License-Identifier: GPL-3.0-or-later
"""Hands that keep their place in the air while the body moves about them: they lean on something.

A hand that hangs straight down from a shoulder that keeps its place as well does so in free air,
and one that holds a prop has nothing else in it: neither tells of a support.
"""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .parts import split_part

Floats = NDArray[np.float64]

# A hand that goes less than this share of what the body goes, seen from above, leans on something.
HAND_PART = 0.5
# An arm hangs that is this straight and within 25 degrees of straight down, all the time.
STRAIGHT_SHARE, DOWN = 0.9, float(np.cos(np.radians(25.0)))


def leaning_hand(basis: Basis, body: Floats, first: int, last: int, least_m: float) -> str:
    """The hand that stays while the body goes by `least_m` or more, scene metres, from sample
    `first` to `last`; empty without one.

    body   (T,2) centre of mass of the body alone, seen from above: what a hand holds moves the
           common one though nobody moves about that hand
    """
    near = slice(first, last + 1)
    goes = _way(body[near])
    if goes < least_m:
        return ""
    stays = {
        part: way
        for n, part in _hands(basis)
        if (way := min(_way(basis.marks[near, n, at, :2]) for at in (0, 1))) < HAND_PART * goes
        and not _holds_prop(basis, n)
        and not _hangs(basis, part, near, least_m, way)
    }
    return min(stays, key=lambda part: stays[part]) if stays else ""


def _hands(basis: Basis) -> list[tuple[int, str]]:
    named = [(n, body.part or "") for n, body in enumerate(basis.bodies)]
    return [(n, part) for n, part in named if split_part(part)[0] == "hand"]


def _way(path: Floats) -> float:
    """How far a path (T,2) reaches."""
    return float(np.hypot(*np.ptp(path, axis=0)))


def _holds_prop(basis: Basis, hand: int) -> bool:
    return any(
        body.parent == hand and split_part(body.part or "")[0] == "prop" for body in basis.bodies
    )


def _hangs(basis: Basis, part: str, near: slice, least_m: float, way: float) -> bool:
    """Whether an arm hangs straight down from a shoulder that goes no further than its hand."""
    side = split_part(part)[1]
    joints = [basis.body(f"{kind}.{side}") for kind in ("upper_arm", "forearm", "hand")]
    if any(each is None for each in joints):
        return False
    shoulder, elbow, wrist = (basis.positions[near, each] for each in joints if each is not None)
    arm = wrist - shoulder
    bones = (np.linalg.norm(elbow - shoulder, axis=1), np.linalg.norm(wrist - elbow, axis=1))
    reach = np.linalg.norm(arm, axis=1)
    straight = reach >= STRAIGHT_SHARE * np.add(*bones)
    if not (straight & (-arm[:, 2] >= DOWN * reach)).all():
        return False
    goes = _way(shoulder[:, :2])
    return goes < least_m or way >= HAND_PART * goes
