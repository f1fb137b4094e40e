# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a ball is between its frames, and how fast it goes over the ground."""

import numpy as np
from numpy.typing import NDArray

from ..basis.ball import BallBasis

Floats = NDArray[np.float64]

# On fewer samples than this nothing tells whether it speeds up.
LEAST = 4


def place_at(basis: BallBasis, at: float) -> Floats:
    """(3,) its place at a sample with a fraction, straight between two samples."""
    low = int(np.clip(np.floor(at), 0, len(basis.frames) - 2))
    two = basis.positions[low : low + 2, 0]
    return np.asarray(two[0] + (at - low) * (two[1] - two[0]))


def speed_of(basis: BallBasis, first: float, last: float) -> tuple[float, float]:
    """Its level speed between two samples with fractions, and how much faster it goes ahead at the
    end than at the beginning, story m/s."""
    samples = slice(int(np.ceil(first)), int(np.floor(last)) + 1)
    path = basis.positions[samples, 0, :2] * basis.height.to_story
    if len(path) < 2:
        return 0.0, 0.0
    seconds = (len(path) - 1) * basis.dt_s
    speed = float(np.linalg.norm(path[-1] - path[0])) / seconds
    if len(path) < LEAST:
        return speed, 0.0
    ahead = basis.forward[samples, :2].mean(axis=0)
    time = np.linspace(-0.5 * seconds, 0.5 * seconds, len(path))
    bend = np.polynomial.polynomial.polyfit(time, path @ ahead, 2)[2]
    return speed, float(2.0 * bend * (last - first) * basis.dt_s)
