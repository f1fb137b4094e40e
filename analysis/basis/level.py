# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a foot touches beyond doubt: a point of its sole keeps the very same height.

No foot that swings does that, and no captured one; one that is held by an IK target does, as
fast as it may be shifted. There the spot that stands is known: no other point is as low.
"""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .contacts import runs
from .ground import LOW_SHARE

if TYPE_CHECKING:
    from .contacts import Soles
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Shares of the height; at 1.7 m: a point that touches rises or sinks by less than .3 cm/s. It may
# stand so much over the floor (5 cm): a sole is not always where the clip has it.
STEADY_SHARE, OVER_SHARE = 0.003 / 1.7, 0.05 / 1.7
# A foot that touches so stands dead still somewhere (.15 cm/s), for so many steps, and lasts.
DEAD_SHARE, DEAD_STEPS, SHORTEST_S = 0.0015 / 1.7, 2, 0.1
# ... or lasts for longer.
SURE_S = 0.25
# It may be shifted faster than a foot that stands (.4 m/s) for so long, and so far (10 cm):
# further it is carried, or thrown.
FAST_SHARE, SHIFTED_S, SHIFTED_SHARE = 0.4 / 1.7, 0.25, 0.1 / 1.7


def level_points(soles: "Soles", height_m: float, dt_s: float) -> Bools:
    """(T-1,N) the points that keep their height over each step, at whatever height."""
    steady = np.abs(np.diff(soles.clearance, axis=0)) < STEADY_SHARE * height_m * dt_s
    known = soles.sole.known[1:] & soles.sole.known[:-1]
    return np.asarray(steady & known & (soles.which[1:] == soles.which[:-1]), dtype=np.bool_)


def level_steps(basis: "Basis", soles: "Soles") -> Bools:
    """(T-1,) steps on which the foot touches and keeps its height, in stretches with a stand."""
    height, dt_s = basis.height.scene_m, basis.dt_s
    same = level_points(soles, height, dt_s) & (soles.clearance[1:] < OVER_SHARE * height)
    paths = np.where(same, np.linalg.norm(soles.steps[..., :2], axis=-1), np.inf).min(axis=1)
    touches: Bools = np.any(same, axis=1)
    slow = paths < FAST_SHARE * height * dt_s
    found = np.zeros(len(touches), dtype=np.bool_)
    dead = paths < DEAD_SHARE * height * dt_s
    low = np.where(same, soles.clearance[1:], np.inf).min(axis=1) < LOW_SHARE * height
    for first, last in runs(touches & ~_thrown(paths, touches, height, dt_s)):
        # What is fast at either end still lands, or leaves; over the floor all but dead stands do.
        all_low = bool(low[first : last + 1].all())
        stands = first + np.flatnonzero((slow if all_low else dead)[first : last + 1])
        if not len(stands):
            continue
        first, last = int(stands[0]), int(stands[-1])
        lasts = (last + 1 - first) * dt_s + 1e-9
        rests = np.count_nonzero(dead[first : last + 1]) >= DEAD_STEPS
        found[first : last + 1] = lasts >= (SHORTEST_S if rests else SURE_S)
    return found


def _thrown(paths: Floats, touches: Bools, height: float, dt_s: float) -> Bools:
    """(T-1,) steps of stretches that are fast for too long, or go too far."""
    thrown = np.zeros(len(paths), dtype=np.bool_)
    for first, last in runs(touches & (paths >= FAST_SHARE * height * dt_s)):
        far = float(paths[first : last + 1].sum()) > SHIFTED_SHARE * height
        thrown[first : last + 1] = far or (last + 1 - first) * dt_s > SHIFTED_S
    return thrown
