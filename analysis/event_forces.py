# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside declared events force is a measure: what reaches the figure there, beyond gravity and
what its contacts can give, in body weights, and how much faster that makes it.
"""

import numpy as np
from numpy.typing import NDArray

from .air_shoves import find_air_shoves
from .basis import Basis
from .basis.contacts import runs
from .free_fall import GRAVITY
from .outside_force import OutsideForce

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def event_forces(basis: Basis, forces: OutsideForce, declared: Bools) -> dict[str, float]:
    """`event_force_peak_bw` and `event_speed_m_s`, where the forces inside an event can be told.

    declared (T,)   samples on which something was declared to reach the figure

    Of what the ground bears it is what no contact can give, summed over the event; in the air the
    break in the level speed. A figure that is met by less than its feet could give shows nothing.
    """
    nothing = np.zeros(len(declared), dtype=bool)
    in_air = [s for s in find_air_shoves(basis, nothing) if declared[s.first : s.last + 1].any()]
    peaks, speeds = [each.size for each in in_air], [each.speed for each in in_air]
    for first, last in runs(declared):
        inside = slice(first, last + 1)
        judged = forces.judged[inside, None]
        if judged.any():
            given = np.where(judged, forces.left[inside], 0.0).sum(axis=0)
            peaks.append(float(forces.size[inside].max()))
            speeds.append(float(np.linalg.norm(given)) * basis.dt_s * GRAVITY)
    if not peaks:
        return {}
    return {"event_force_peak_bw": max(peaks), "event_speed_m_s": max(speeds)}
