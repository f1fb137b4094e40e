# SPDX-License-Identifier: GPL-3.0-or-later
"""The whole shot seen from the side: he stands, and from one frame on he falls."""

from functools import lru_cache

import numpy as np

from .limp import fall
from .points import SIDES, Floats
from .stand import joint_angles, standing
from .timing import FALLS, FIRST, FPS, LAST

STEPS = 40  # of the fall in a frame
FADES_S = 0.308  # how long a joint takes to give way
# joint -> radians by which its spring wants more or less than the pose: ankles hold less than the
# lean asks for, knees carry him
_WANTS = {"ankle": 0.06, "knee": -0.03}


@lru_cache(maxsize=1)
def from_the_side() -> Floats:
    """(T,P,2) metres ahead and up of the points on every frame."""
    before = np.array([standing(frame) for frame in range(FIRST, FALLS)])
    speeds = (standing(FALLS + 0.01) - standing(FALLS - 0.01)) / 0.02 * FPS
    targets = joint_angles(FALLS)
    for joint, more in _WANTS.items():
        for side in SIDES:
            targets[f"{joint}.{side}"] += more
    falling = fall(
        standing(FALLS),
        speeds,
        seconds=(LAST - FALLS) / FPS,
        fps=FPS,
        steps=STEPS,
        fades=FADES_S,
        targets=targets,
    )
    return np.concatenate([before, falling])
