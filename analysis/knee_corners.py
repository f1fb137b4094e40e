# SPDX-License-Identifier: GPL-3.0-or-later
"""Corners that a leg turns by right as its foot lands.

A heel that lands stops the ankle within a frame, and the knee of a leg near full reach gives way
at once. Where samples lie close in time this is a corner of the knee's way: on one side of it the
knee, or the reach, leads straight to where it is.
"""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .foretold import FORETOLD
from .limbs import Limb
from .off_path import REACH, strides

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# A foot lands within so many seconds of it.
LANDS_S = 0.05
# One side leads straight on where it foretells its own last sample to within FORETOLD of what the
# knee is off, and leads to where the knee is to within this share of it, or beyond.
LEADS = 0.5


def corners_resolved(basis: Basis) -> bool:
    """Whether samples lie so close that a corner at a landing is told from a flick."""
    return len(strides(basis.clip.fps)) > 1


def turns_a_corner(basis: Basis, limb: Limb, window: Ints, size: float) -> bool:
    """Whether a leg turns a corner as its foot lands.

    window (W+6,)   samples: a block of W that is off by `size` metres, and three on either side
    """
    near = round(LANDS_S / basis.dt_s)
    first, last = int(window[REACH]), int(window[-REACH - 1])
    lands = [p.first for p in basis.plants if p.side == limb.side and p.lands]
    if not any(first - near <= at <= last + near for at in lands):
        return False
    sides = (window[: REACH + 1], window[: -REACH - 2 : -1])
    return any(_leads_there(limb, side, size) for side in sides)


def _leads_there(limb: Limb, side: Ints, size: float) -> bool:
    """Whether three samples lead straight to the fourth, in how far the knee is off the line from
    hip to ankle or in the reach."""
    out, lacks = np.linalg.norm(limb.off_line[side], axis=-1), limb.slack[side]
    by_itself = 2.0 * out[1:-1] - out[:-2]
    by_reach = out_of_line(limb.bones[side[2:]], 2.0 * lacks[1:-1] - lacks[:-2])
    toward = np.sign(out[2] - out[3])
    for told in (by_itself, by_reach):
        sure = abs(out[2] - told[0]) <= FORETOLD * size
        if sure and toward * (told[1] - out[3]) <= LEADS * size:
            return True
    return False


def out_of_line(bones: Floats, lacks: Floats) -> Floats:
    """(...,) metres that a knee is off the line where the reach lacks so much: law of cosines."""
    upper, lower = bones[..., 0], bones[..., 1]
    span = upper + lower - np.clip(lacks, 0.0, None)
    span = np.maximum(span, np.abs(upper - lower) + 1e-9)
    along = (upper**2 - lower**2 + span**2) / (2.0 * span)
    return np.asarray(np.sqrt(np.maximum(upper**2 - along**2, 0.0)))
