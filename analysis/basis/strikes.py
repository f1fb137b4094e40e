# SPDX-License-Identifier: GPL-3.0-or-later
"""Where feet land and leave: there a leg's path breaks by right."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..parts import SIDES

if TYPE_CHECKING:
    from .core import Basis

# A sole point is down when it is this close to the lowest that it gets, as a share of height.
DOWN_SHARE = 0.02
# Frames on either side of a strike in which a break of the leg's path is no fault.
NEAR_FRAMES = 2


def near_strikes(basis: "Basis") -> NDArray[np.bool_]:
    """(T,B) True for shin, foot and toe within two frames of their foot's landing or leaving.

    A foot's sole points (joint, tip, toe, toe's tip) are each compared with the lowest
    height they reach; a strike is a frame at which one comes down or lifts. Heights alone
    are enough here: a cycle in place has no still feet.
    """
    mask = np.zeros(basis.valid.shape, dtype=bool)
    for side in SIDES:
        sole = [basis.body(f"{kind}.{side}") for kind in ("foot", "toe")]
        down = _sole_down(basis, [body for body in sole if body is not None])
        if down is None:
            continue
        changes = np.flatnonzero(np.any(down[1:] != down[:-1], axis=1))
        near = np.zeros(len(mask), dtype=bool)
        for change in changes:
            near[max(change + 1 - NEAR_FRAMES, 0) : change + 1 + NEAR_FRAMES + 1] = True
        for kind in ("shin", "foot", "toe"):
            body = basis.body(f"{kind}.{side}")
            if body is not None:
                mask[:, body] |= near
    return mask


def _sole_down(basis: "Basis", sole: list[int]) -> NDArray[np.bool_] | None:
    if not sole:
        return None
    heights = basis.marks[:, sole, :2, 2].reshape(len(basis.frames), -1)
    lowest = np.percentile(heights, 2.0, axis=0)
    return np.asarray(heights < lowest + DOWN_SHARE * basis.height.scene_m)
