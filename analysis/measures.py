# SPDX-License-Identifier: GPL-3.0-or-later
"""Numbers that are reported whether or not something is wrong; story metres, seconds."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from .basis import Basis
from .basis.loads import load_measures
from .evidence import Evidence
from .free_fall import GRAVITY
from .gait import find_gait, flight_measures, gait_measures
from .impacts import hit_measures
from .loop import Cycle
from .point_measures import PointMeasures


def measures_of(
    basis: Basis,
    cycle: Cycle,
    evidence: Sequence[Evidence],
    points: Mapping[str, PointMeasures],
) -> dict[str, Any]:
    """Measures of the body that leads, of the centre of mass and of the gait, what the checks
    measured, and `points`: those of every followed point."""
    measures: dict[str, Any] = {**_root(basis), **_centre_of_mass(basis), "points": dict(points)}
    measures |= gait_measures(basis, find_gait(basis, cycle)) | flight_measures(basis)
    measures |= hit_measures(basis)
    for found in evidence:
        measures.update(found.measures)
    return measures


def _root(basis: Basis) -> dict[str, float]:
    to_story = basis.height.to_story
    path = basis.positions[:, basis.lead] * to_story
    speed = np.linalg.norm(basis.velocities[:, basis.lead], axis=-1) * to_story
    duration = basis.dt_s * (len(path) - 1)
    travel = float(np.linalg.norm(path[-1, :2] - path[0, :2]))
    return {
        "duration_s": duration,
        "root_travel_m": travel,
        "root_speed_m_s": travel / duration,
        "root_peak_speed_m_s": float(speed.max()),
        "root_rise_m": float(np.ptp(path[:, 2])),
    }


def _centre_of_mass(basis: Basis) -> dict[str, float]:
    """Rise, mean speed over the ground, and the largest force under it, in body weights.

    force / weight = acceleration / g + 1: Newton's second law. Said only where the story's
    height makes the acceleration a true one.
    """
    if basis.com is None or basis.com_velocity is None or basis.com_acceleration is None:
        return {}
    to_story = basis.height.to_story
    speed = np.linalg.norm((basis.com_velocity - basis.ground.velocity)[:, :2], axis=-1)
    measures = {
        "com_rise_m": float(np.ptp(basis.com[:, 2])) * to_story,
        "com_speed_m_s": float(speed.mean()) * to_story,
        **load_measures(basis),
    }
    if basis.height.story_m is not None:
        most = float(basis.com_acceleration[:, 2].max()) * to_story
        measures["force_peak_bw"] = most / GRAVITY + 1.0
    return measures
