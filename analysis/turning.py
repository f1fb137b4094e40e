# SPDX-License-Identifier: GPL-3.0-or-later
"""How orientations turn from sample to sample, in the world or against another body."""

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat

Floats = NDArray[np.float64]


def turn_steps(rotations: Floats) -> Floats:
    """(T-1,...,3) the turn from each sample of orientations (T,...,4) to the next, degrees.

    Each is an axis times an angle of at most 180 degrees, in the axes that the orientations
    are told in.
    """
    turn = quat.multiply(rotations[1:], quat.conjugate(rotations[:-1]))
    turn = np.where(turn[..., :1] < 0.0, -turn, turn)
    sine = np.linalg.norm(turn[..., 1:], axis=-1, keepdims=True)
    angle = 2.0 * np.arctan2(sine, turn[..., :1])
    return np.asarray(np.degrees(turn[..., 1:] / np.maximum(sine, 1e-12) * angle))


def against(rotations: Floats, frame: Floats) -> Floats:
    """Orientations (T,...,4) in the axes of another body (T,4), signs continuous in time."""
    back = quat.conjugate(frame).reshape(len(frame), *(1,) * (rotations.ndim - 2), 4)
    return quat.continuous(quat.multiply(np.broadcast_to(back, rotations.shape), rotations))
