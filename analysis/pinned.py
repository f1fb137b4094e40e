# SPDX-License-Identifier: GPL-3.0-or-later
"""Limbs that stand still by right: planted feet, knees and elbows at their limit."""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .parts import LEG, SIDES

Floats = NDArray[np.float64]

# Thigh and shin, or upper arm and forearm, are straight where they reach this far together.
STRAIGHT_SHARE = 0.9995


def standing(basis: Basis) -> Floats:
    """(T,B) 1 where a leg's foot is planted, else 0."""
    found = np.zeros(basis.valid.shape)
    for plant in basis.plants:
        leg = [basis.body(f"{part}.{plant.side}") for part in LEG]
        found[plant.first : plant.last + 1, [n for n in leg if n is not None]] = 1.0
    return found


def straight(basis: Basis) -> Floats:
    """(T,B) 1 for shins and forearms where knee or elbow is straight, else 0."""
    found = np.zeros(basis.valid.shape)
    for upper, lower, end in (("thigh", "shin", "foot"), ("upper_arm", "forearm", "hand")):
        for side in SIDES:
            chain = [basis.body(f"{part}.{side}") for part in (upper, lower, end)]
            hip, knee, foot = chain
            if hip is None or knee is None or foot is None:
                continue
            place = basis.positions
            bones = [place[:, knee] - place[:, hip], place[:, foot] - place[:, knee]]
            lengths = [np.linalg.norm(bone, axis=-1) for bone in (*bones, bones[0] + bones[1])]
            found[:, knee] = lengths[2] >= STRAIGHT_SHARE * (lengths[0] + lengths[1])
    return found
