# SPDX-License-Identifier: GPL-3.0-or-later
"""A finding's mark: the local motion around it, quantised, as a short text.

Two passes of a shot are compared by it: it does not change when the shot is moved in time
or place, and changes little with a small edit elsewhere.
"""

import base64

import numpy as np

from .basis import Basis

# Offsets in seconds around the peak, and the size of one step as a share of the height.
OFFSETS_S = (-0.25, -0.167, -0.083, 0.0, 0.083, 0.167, 0.25)
STEP_SHARE = 0.5 / 170.0


def mark_at(basis: Basis, body: int | None, peak: int) -> str:
    """Mark of the motion of `body` (the first judged body where None) around a sample.

    The joint's way from the peak to seven moments within a quarter second, level axes turned
    to where the figure faces, in steps of .3 % of the height (5 mm at 1.7 m), as signed
    bytes (larger ways are cut off at 127 steps), base64.
    """
    if body is None:
        body = basis.lead
    count = len(basis.frames)
    at = np.clip(peak + np.round(np.array(OFFSETS_S) / basis.dt_s).astype(int), 0, count - 1)
    way = basis.positions[at, body] - basis.positions[peak, body]
    ahead = basis.forward[peak]
    left = np.array([-ahead[1], ahead[0], 0.0])
    local = np.stack((way @ ahead, way @ left, way[:, 2]), axis=-1)
    steps = np.round(local / (STEP_SHARE * basis.height.scene_m))
    return base64.b64encode(np.clip(steps, -127, 127).astype(np.int8).tobytes()).decode("ascii")
