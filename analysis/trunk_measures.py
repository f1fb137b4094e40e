# SPDX-License-Identifier: GPL-3.0-or-later
"""Numbers for how chest and hips turn against each other."""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .memory import recalled
from .spine import FORWARD, SIDE, TWIST, Spine

Floats = NDArray[np.float64]

# Degrees: smaller swings of hips or chest have no phase. Frequencies that a gait has, per second.
LEAST_SWING_DEG, SLOWEST_HZ, FASTEST_HZ = 1.0, 0.4, 4.0
# So many candidates are tried in between.
_CANDIDATES = 120


def trunk_measures(basis: Basis, spine: Spine) -> dict[str, float]:
    """Ranges of the chest against the hips, degrees, and how far apart in phase they turn.

    chest_hip_turn_deg, chest_hip_bend_deg, chest_hip_side_deg   from the least to the most
    chest_hip_phase_deg   0: they swing to and fro together; 180: against each other, as in a
                          walk; left out where either hardly swings or there is no full swing
    """
    whole = spine.whole[spine.valid]
    spread = np.ptp(whole, axis=0)
    found = {
        "chest_hip_turn_deg": float(spread[TWIST]),
        "chest_hip_bend_deg": float(spread[FORWARD]),
        "chest_hip_side_deg": float(spread[SIDE]),
    }
    if spine.valid.all():
        phase = recalled(basis.memory, _phase_deg, _headings(spine.headings), basis.dt_s)
        if phase is not None:
            found["chest_hip_phase_deg"] = phase
    return found


def _headings(ahead: Floats) -> Floats:
    """(T,2) degrees that hips and chest face, seen from above, without slow turns."""
    angles = np.degrees(np.unwrap(np.arctan2(ahead[..., 1], ahead[..., 0]), axis=0))
    time = np.linspace(-1.0, 1.0, len(angles))
    slow = np.vander(time, 3)
    return np.asarray(angles - slow @ np.linalg.lstsq(slow, angles, rcond=None)[0])


def _phase_deg(headings: Floats, dt_s: float) -> float | None:
    """Degrees from 0 to 180 between the swings (T,2), at the frequency that explains both best."""
    seconds = dt_s * (len(headings) - 1)
    slowest = max(SLOWEST_HZ, 1.0 / seconds)
    if slowest >= FASTEST_HZ or len(headings) < 8:
        return None
    time = dt_s * np.arange(len(headings))
    best, swings = -1.0, np.zeros((2, 2))
    for frequency in np.geomspace(slowest, FASTEST_HZ, _CANDIDATES):
        angle = 2.0 * np.pi * frequency * time
        waves = np.stack((np.cos(angle), np.sin(angle)), axis=1)
        fit = np.linalg.lstsq(waves, headings, rcond=None)[0]
        explained = float(((waves @ fit) ** 2).sum())
        if explained > best:
            best, swings = explained, fit
    sizes = np.linalg.norm(swings, axis=0)
    if sizes.min() < LEAST_SWING_DEG:
        return None
    cosine = float(swings[:, 0] @ swings[:, 1] / (sizes[0] * sizes[1]))
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))
