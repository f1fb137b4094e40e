# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a foot that stands is shifted fast: along the floor, from one stand to the next.

A foot that steps lifts between two stands, and one that rolls stands on some point meanwhile.
One that is shifted keeps its height, and all of its sole goes along.
"""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .ground import LOW_SHARE

if TYPE_CHECKING:
    from .contacts import Soles
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A shift lasts so long at most; at 1.7 m it goes from 2.5 to 10 cm, each low point of the sole at
# least that far, while one of them rises and sinks by no more than 3.5 mm.
LONGEST_S, NEAR_SHARE, FAR_SHARE = 0.34, 0.025 / 1.7, 0.1 / 1.7
KEEPS_SHARE = 0.0035 / 1.7
# It stands for so long before and after, slower than this share of the shift's speed. What goes
# more than this share of its way in one step jumps.
STANDS_S, STANDS, JUMP_SHARE = 0.06, 0.3, 0.75
# Feet that are dragged while they bear little (boxers') keep their height to 2.6 mm and more, and
# go at .2 of that speed and more.
SURE_KEEPS_SHARE, SURE_STANDS = 0.0025 / 1.7, 0.2


def shifted_steps(basis: "Basis", soles: "Soles", *, sure: bool = False) -> Bools:
    """(T-1,) steps over which a foot that stands is shifted.

    sure   only where that is plain even of a foot that bears little
    """
    keeps, stood = (SURE_KEEPS_SHARE, SURE_STANDS) if sure else (KEEPS_SHARE, STANDS)
    height, count = basis.height.scene_m, len(basis.frames)
    found = np.zeros(max(count - 1, 0), dtype=np.bool_)
    stands = max(round(STANDS_S / basis.dt_s), 2)
    calm = np.linalg.norm(soles.steps[..., :2], axis=-1).min(axis=1)
    gone = np.concatenate(([0.0], np.cumsum(calm)))
    for steps in range(2, round(LONGEST_S / basis.dt_s) + 1):
        at = np.arange(stands, count - steps - stands)
        if not len(at):
            break
        far = _far(soles, at, steps, height, keeps * height)
        rest = np.maximum(gone[at] - gone[at - stands], _after(gone, at + steps, stands)) / stands
        peak = np.lib.stride_tricks.sliding_window_view(calm, steps)[at].max(axis=1)
        shifted = (far > NEAR_SHARE * height) & (far < FAR_SHARE * height)
        shifted &= (rest < stood * far / steps) & (peak < JUMP_SHARE * far)
        for first in at[shifted]:
            found[first : first + steps] = True
    return found


def _after(gone: Floats, at: NDArray[np.int64], steps: int) -> Floats:
    return np.asarray(gone[at + steps] - gone[at])


def _far(
    soles: "Soles", at: NDArray[np.int64], steps: int, height_m: float, keeps_m: float
) -> Floats:
    """(K,) how far the stillest point goes in so many steps from each of the samples `at`, level;
    0 where none keeps its height near the floor, to so many metres."""
    heights = np.where(soles.sole.known, soles.clearance, np.inf)
    windows = np.lib.stride_tricks.sliding_window_view(heights, steps + 1, axis=0)[at]
    highest, lowest = windows.max(axis=-1), windows.min(axis=-1)
    path = np.concatenate((np.zeros((1, *soles.steps.shape[1:])), np.cumsum(soles.steps, axis=0)))
    way = np.linalg.norm((path[at + steps] - path[at])[..., :2], axis=-1).min(axis=1)
    with np.errstate(invalid="ignore"):
        keeps = (highest - lowest < keeps_m) & (highest < LOW_SHARE * height_m)
    return np.where(keeps.any(axis=1), way, 0.0)
