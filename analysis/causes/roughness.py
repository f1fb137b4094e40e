# SPDX-License-Identifier: GPL-3.0-or-later
"""How rough paths are over some frames, and how much of that goes when bodies are moved."""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Third differences: those of position are jerk, which a smooth hand keeps small.
ORDER = 3


def jerk(paths: Floats) -> Floats:
    """Third differences along the first axis."""
    return np.diff(paths, n=ORDER, axis=0)


def moved_marks(basis: Basis, samples: Ints, moves: Floats, shares: Floats) -> Floats:
    """(N,B,2,3) joints and tips where followers go along with (N,4,4) by their shares (B,)."""
    marks = basis.marks[samples][:, :, :2]
    away = np.einsum("nij,nbmj->nbmi", moves[:, :3, :3], marks) + moves[:, None, None, :3, 3]
    return np.asarray(marks + shares[None, :, None, None] * (away - marks))
