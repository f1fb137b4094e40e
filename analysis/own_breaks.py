# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a body's speed against what carries it breaks: its own share in a stop or start."""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .ends import Ends, Name
from .evidence import OwnMotion
from .stops import ONE_FRAME_S

Floats = NDArray[np.float64]

CLEAR = 2.0
_NAMES: tuple[Name, ...] = ("own_marks", "own_rotations", "rotations")


def own_motion(basis: Basis, ends: Ends) -> OwnMotion:
    """How far each body's own speed breaks at each sample: metres (radians) in a 24th of a second.

    A break is clear when it is twice as large as any two to four samples from it.
    """
    found = []
    for name in _NAMES:
        values, shift = ends.around(name)
        sizes = np.linalg.norm(np.diff(values, 2, axis=0), axis=-1) * ONE_FRAME_S / basis.dt_s
        sizes = np.pad(sizes, [(1, 1)] + [(0, 0)] * (sizes.ndim - 1))
        clear = np.where(sizes >= CLEAR * _largest_beside(sizes), sizes, 0.0)
        span = slice(shift, shift + ends.length)
        rest = np.zeros((len(basis.frames) - ends.length, *sizes.shape[1:]))
        found += [np.concatenate((each[span], rest)) for each in (sizes, clear)]
    return OwnMotion(
        metres=found[1].max(axis=-1),
        any_metres=found[0].max(axis=-1),
        turn=2.0 * found[2],
        world_turn=2.0 * found[4],
    )


def _largest_beside(sizes: Floats) -> Floats:
    """(T,...) the largest of the sizes two to four samples from each."""
    best = np.zeros_like(sizes)
    for shift in (2, 3, 4):
        best[shift:] = np.maximum(best[shift:], sizes[:-shift])
        best[:-shift] = np.maximum(best[:-shift], sizes[shift:])
    return best
