# SPDX-License-Identifier: GPL-3.0-or-later
"""What is measured of plants: how many, how long, how far they slip, over which ground."""

import numpy as np

from .basis import Basis
from .basis.slips import LANDING, MIDDLE, Slip


def plant_measures(
    basis: Basis, slips: list[Slip], hands: list[Slip], pushed: int
) -> dict[str, float]:
    """What `slide` measures of feet that stand, and of hands that rest on supports.

    pushed   how many of them were moved from outside, as declared
    """
    speed = float(np.linalg.norm(basis.ground.velocity, axis=-1).mean())
    amounts = np.array([part.metres for slip in slips if (part := slip.part(MIDDLE))] or [0.0])
    to_story = basis.height.to_story
    found = {
        "plants": float(len(slips)),
        "plant_slip_median_m": float(np.median(amounts)) * to_story,
        "plant_slip_worst_m": float(amounts.max()) * to_story,
        "ground_speed_m_s": speed * to_story,
        "ground_turn_deg_s": float(np.degrees(-basis.ground.turn_rad_s)),
    }
    for side, name in (("L", "left"), ("R", "right")):
        found[f"foot_contacts_{name}"] = float(sum(slip.plant.side == side for slip in slips))
    whole = [slip.plant for slip in slips if slip.plant.lands and slip.plant.leaves]
    if whole:
        steps = np.median([plant.last - plant.first for plant in whole])
        found["plant_median_s"] = float(steps) * basis.dt_s
    landing = [part.metres for slip in slips if (part := slip.part(LANDING))]
    if landing:
        found["landing_slip_median_m"] = float(np.median(landing)) * to_story
    if hands:
        found["hand_stays"] = float(stays(hands))
    if pushed:
        found["plants_pushed"] = float(pushed)
    return found


def stays(hands: list[Slip]) -> int:
    """How many times hands rest: a hand that is on two parts of a ladder at once does so once."""
    ends: dict[int, int] = {}
    count = 0
    for plant in sorted((slip.plant for slip in hands), key=lambda plant: plant.first):
        count += plant.first > ends.get(plant.body, -1)
        ends[plant.body] = max(plant.last, ends.get(plant.body, -1))
    return count
