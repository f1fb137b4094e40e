# SPDX-License-Identifier: GPL-3.0-or-later
"""What lies under a figure at a sample: how high the ground is that it stands on, and where."""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis

Floats = NDArray[np.float64]


def ground_under(basis: Basis, at: int) -> float:
    """Height, scene metres, of what lies under the lowest known point of the soles at a sample;
    of the floor where none is known."""
    lowest, height = np.inf, basis.ground.floor_z
    for each in basis.soles:
        clearance = np.where(each.sole.known[at], each.clearance[at], np.inf)
        n = int(np.argmin(clearance))
        if clearance[n] < lowest:
            lowest = float(clearance[n])
            height = float(each.sole.points[at, n, 2] - each.clearance[at, n])
    return height


def bearing_place(basis: Basis, at: int, near: int) -> Floats | None:
    """(3,) the middle of the soles' points that touch at a sample, else of all that do, on the
    ground under them; where none does, of those at the nearest sample within `near`. None where
    nothing touches."""
    touch = basis.touch_points
    order = sorted(range(at - near, at + near + 1), key=lambda sample: abs(sample - at))
    for sample in order:
        if not 0 <= sample < len(touch.touches):
            continue
        bears = touch.touches[sample]
        if bears.any():
            bears = bears & touch.sole if (bears & touch.sole).any() else bears
            place = touch.place[sample, bears].mean(axis=0)
            return np.array([place[0], place[1], ground_under(basis, sample)])
    return None
