# SPDX-License-Identifier: GPL-3.0-or-later
"""Legs that are at their reach because the hips are too high, and how far these must come down."""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .limbs import Limb
from .stretch import goal_of

Floats = NDArray[np.float64]

# So long before a leg is at its reach both its ends are compared with where they are then.
BEFORE_S = 0.2
# Less than this is nothing to lower hips by (1 mm at 1.7 m).
LEAST_SHARE = 0.0006


def wanted_off(basis: Basis, limb: Limb) -> Floats | None:
    """(T,3) metres from a limb's end to where its IK target wants it; None where that is not
    known."""
    end = f"{'foot' if limb.joint == 'knee' else 'hand'}.{limb.side}"
    control = basis.clip.meta.targets.get(end)
    return None if control is None else goal_of(basis, limb, control)


def behind_at(basis: Basis, limb: Limb, sample: int) -> Floats:
    """(3,) metres from a limb's end to where it is wanted; 0 where that is not known."""
    away = wanted_off(basis, limb)
    return np.zeros(3) if away is None else np.asarray(away[sample])


def stands(basis: Basis, leg: Limb, first: int, last: int) -> bool:
    """Whether a leg's foot stands on samples first..last, and its hip moves off: one plant of it
    touches them, and it is not the foot that goes further than the hip does."""
    touches = any(
        plant.side == leg.side and plant.first <= last + 1 and plant.last >= first - 1
        for plant in basis.plants
    )
    if not touches:
        return False
    away = wanted_off(basis, leg)
    goal = leg.paths[:, 2] if away is None else leg.paths[:, 2] + away
    hip, before = leg.paths[:, 0], round(BEFORE_S / basis.dt_s)
    from_ = first - before if first >= before else min(last + before, len(hip) - 1)
    at = first + int(np.argmax(np.linalg.norm((goal - hip)[first : last + 1], axis=-1)))
    way = goal[at] - hip[at]
    return float((goal[at] - goal[from_]) @ way) <= float((hip[from_] - hip[at]) @ way)


def hips_drop(basis: Basis, leg: Limb, first: int, last: int) -> float | None:
    """Metres straight down that bring the hip within the leg's length at rest of where its foot is
    wanted, on all of samples first..last; None where nothing tells, or down does not help."""
    away = wanted_off(basis, leg)
    goal = leg.paths[:, 2] if away is None else leg.paths[:, 2] + away
    way = (leg.paths[:, 0] - goal)[first : last + 1][leg.known[first : last + 1]]
    level2, length = np.sum(way[:, :2] ** 2, axis=-1), float(leg.rest.sum())
    if not len(way) or level2.max() >= length**2:
        return None
    drop = float((way[:, 2] - np.sqrt(length**2 - level2)).max())
    return drop if drop > LEAST_SHARE * basis.height.scene_m else None
