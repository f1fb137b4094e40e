# SPDX-License-Identifier: GPL-3.0-or-later
"""The lines through the dots, as arrays for one batch."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .render_data import Trace


@dataclass(frozen=True, eq=False)
class Lines:
    """points (V,3), colours (V,3) and pairs (L,2) of indices."""

    points: NDArray[np.float32]
    colours: NDArray[np.float32]
    pairs: NDArray[np.int32]


def lines_of(traces: Sequence[Trace]) -> Lines:
    """A line from each dot to the next of the same trace."""
    starts = np.cumsum([0, *(len(trace.points) for trace in traces)])
    pairs = [
        np.stack((np.arange(a, b - 1), np.arange(a + 1, b)), axis=-1)
        for a, b in pairwise(starts.tolist())
        if b - a > 1
    ]
    return Lines(
        np.concatenate([np.zeros((0, 3), np.float32), *(trace.points for trace in traces)]),
        np.concatenate([np.zeros((0, 3), np.float32), *(trace.colours for trace in traces)]),
        np.concatenate([np.zeros((0, 2), int), *pairs]).astype(np.int32),
    )


def with_alpha(colours: NDArray[np.float32], alpha: float) -> NDArray[np.float32]:
    """(V,4) of colours (V,3)."""
    strength = np.full((len(colours), 1), alpha, dtype=np.float32)
    return np.concatenate((colours, strength), axis=1)
