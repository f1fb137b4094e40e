# SPDX-License-Identifier: GPL-3.0-or-later
"""How much of a figure stands dead at once, against how it moves around that moment."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# A point counts where it moves by this share of the height a sample around the moment; it is
# dead where it moves by no more than this share of that.
MOVES_SHARE, DEAD_SHARE = 5e-4, 0.3
# Samples on either side that say how it moves.
AROUND = 4
# The whole figure is dead when this share of the points that move is, and half of all do.
WHOLE_SHARE, ALIVE_SHARE = 0.8, 0.5


@dataclass(frozen=True, eq=False)
class Stillness:
    """Steps of P points over N samples: total (N,P) their sums up to each sample, metres."""

    total: Floats
    height: float

    def whole(self, first: int, last: int, stride: int = 1) -> bool:
        """Whether the figure as a whole is dead from sample `first` to `last`."""
        low = max(first - AROUND * stride, 0)
        high = min(last + AROUND * stride, len(self.total) - 1)
        usual = (self.total[high] - self.total[low]) / (high - low)
        inside = (self.total[last] - self.total[first]) / (last - first)
        moves = usual > MOVES_SHARE * self.height / stride
        if np.count_nonzero(moves) < ALIVE_SHARE * len(moves):
            return False
        return bool(np.mean(inside[moves] <= DEAD_SHARE * usual[moves]) >= WHOLE_SHARE)


def stillness(points: Floats, height: float) -> Stillness:
    """How points (N,P,3) move; height of the figure, metres."""
    steps = np.linalg.norm(np.diff(points, axis=0), axis=-1)
    start = np.zeros((1, steps.shape[1]))
    return Stillness(np.concatenate((start, np.cumsum(steps, axis=0))), height)
