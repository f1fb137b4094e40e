# SPDX-License-Identifier: GPL-3.0-or-later
"""Which stalls are hitches: what a dead point must hide, and how it comes to be dead."""

import numpy as np
from numpy.typing import NDArray

from .stall import Stalls

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A point that keeps no more than the first share of its pace is dead; more than the last, it
# moves. In between it creeps on, and must show more: residual over (floor + residual left).
PACES, RATIOS = (0.02, 0.1, 0.25), (0.5, 2.5, 5.0)
# From this pace on, what creeps on must catch up more plainly.
CREEPS = 0.04
# The same for a whole figure, which is dead at all its points or eased into a pose; one sample
# alone may be dead by chance.
WHOLE_RATIO, ONE_RATIO = 0.9, 2.0
# What jumps ahead first and then waits may be a quick move into a pose: it must show so much more.
AHEAD = 1.5
# The catch-up against the longest step around: of a dead point; of one that is dead against what
# carries it (a hinge that turns back is as well, for a sample or two); of one that creeps on, or
# stands.
DEAD_BURST, HINGE_BURST, BURST = 0.5, 0.8, 1.2
# A dead point comes to its stop, or leaves it, at this share of its predicted step; one that creeps
# on, and a whole figure, at more: else it was eased. Beyond the catch-up it goes on, at this share.
ARRIVES, PLAINLY_ARRIVES, GOES_ON = 0.25, 0.5, 0.1
# It was eased as well where its last step is so much shorter than one of the two before, and all
# are shorter than this share of its predicted step.
SLOWS, SLOW_ARRIVES = 0.7, 0.45
# Of the height: what counts as still, and what is too small to be seen (2 cm at 1.7 m).
FLOOR_SHARE, SEEN_SHARE = 1e-3, 0.012


def sticks(stalls: Stalls) -> Bools:
    """(C,) whether the point hardly moves, without having been eased into that."""
    least = np.where(stalls.pace <= CREEPS, ARRIVES, PLAINLY_ARRIVES)
    slow = stalls.arrives < SLOW_ARRIVES * stalls.step
    arrives = (stalls.arrives >= least * stalls.step) & ~(slow & (stalls.slows < SLOWS))
    return (stalls.pace <= PACES[-1]) & arrives


def may_be_whole(stalls: Stalls) -> Bools:
    """(C,) whether a stall comes to its stop as plainly as a whole figure must."""
    return np.asarray(stalls.arrives >= PLAINLY_ARRIVES * stalls.step)


def catches_up(stalls: Stalls, doubtful: Bools, *, hinge: bool) -> Bools:
    """(C,) whether a step makes up for it: what is in doubt must go on beyond that step."""
    burst = np.where(doubtful, BURST, HINGE_BURST if hinge else DEAD_BURST)
    goes_on = ~doubtful | (stalls.leaves >= GOES_ON * stalls.step)
    return (stalls.burst >= burst * stalls.beside) & goes_on


def must_hide(stalls: Stalls, whole: Bools, height: float) -> Floats:
    """(C,) metres that each stall must hide; `whole` (C,) where the whole figure is dead."""
    ratio = np.interp(stalls.pace, PACES, RATIOS)
    creeping = np.interp(stalls.pace, PACES[::2], RATIOS[1:])
    least = np.where(stalls.pace <= PACES[0], WHOLE_RATIO, creeping)
    ratio = np.maximum(ratio, np.where(whole, least, 0.0))
    ratio = np.maximum(ratio, np.where(stalls.width == 1, ONE_RATIO, 0.0))
    ratio = np.where(stalls.after, ratio, AHEAD * ratio)
    return np.maximum(ratio * (FLOOR_SHARE * height + stalls.left), SEEN_SHARE * height)
