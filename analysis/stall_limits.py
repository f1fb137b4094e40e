# SPDX-License-Identifier: GPL-3.0-or-later
"""Which stalls are hitches: what a dead point must hide, and how it comes to be dead."""

import numpy as np
from numpy.typing import NDArray

from .stall import Stalls

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A point that keeps no more than this share of its pace is dead; more than the other, it moves.
DEAD_PACE, MOST_PACE = 0.02, 0.25
# Residual over (floor + residual left): where the point is dead, where it creeps on, and where
# it keeps the most pace.
DEAD_RATIO, CREEPS_RATIO, MOST_RATIO = 0.5, 2.5, 5.0
# The same for a whole figure, which shows it more clearly; one sample alone may be dead by chance.
WHOLE_RATIO, ONE_RATIO = 0.9, 2.0
# The catch-up against the longest step around: of a dead point; of one that is dead against what
# carries it (a hinge that turns back is as well, for a sample or two); of one that creeps on, or
# stands.
DEAD_BURST, HINGE_BURST, BURST = 0.5, 0.8, 1.2
# A dead point comes to its stop, or leaves it, at this share of its predicted step, one that
# creeps on at more: else it was eased. Beyond the catch-up it goes on, at this share of it.
ARRIVES, CREEPS_ARRIVES, GOES_ON = 0.25, 0.5, 0.1
# It was eased as well where its last step is so much shorter than one of the two before, and all
# are shorter than this share of its predicted step.
SLOWS, SLOW_ARRIVES = 0.7, 0.45
# Of the height: what counts as still, and what is too small to be seen (2 cm at 1.7 m).
FLOOR_SHARE, SEEN_SHARE = 1e-3, 0.012


def sticks(stalls: Stalls) -> Bools:
    """(C,) whether the point hardly moves, without having been eased into that."""
    least = np.where(stalls.pace <= DEAD_PACE, ARRIVES, CREEPS_ARRIVES)
    arrives = stalls.arrives >= least * stalls.step
    slow = stalls.arrives < SLOW_ARRIVES * stalls.step
    return (stalls.pace <= MOST_PACE) & arrives & ~(slow & (stalls.slows < SLOWS))


def catches_up(stalls: Stalls, doubtful: Bools, *, hinge: bool) -> Bools:
    """(C,) whether a step makes up for it: what is in doubt must go on beyond that step."""
    burst = np.where(doubtful, BURST, HINGE_BURST if hinge else DEAD_BURST)
    goes_on = ~doubtful | (stalls.leaves >= GOES_ON * stalls.step)
    return (stalls.burst >= burst * stalls.beside) & goes_on


def must_hide(stalls: Stalls, whole: Bools, height: float) -> Floats:
    """(C,) metres that each stall must hide; `whole` (C,) where the whole figure is dead."""
    share = np.clip((stalls.pace - DEAD_PACE) / (MOST_PACE - DEAD_PACE), 0.0, 1.0)
    creeping = CREEPS_RATIO + (MOST_RATIO - CREEPS_RATIO) * share
    dead = np.where(stalls.width == 1, ONE_RATIO, np.where(whole, WHOLE_RATIO, DEAD_RATIO))
    ratio = np.where(stalls.pace <= DEAD_PACE, dead, creeping)
    return np.maximum(ratio * (FLOOR_SHARE * height + stalls.left), SEEN_SHARE * height)
