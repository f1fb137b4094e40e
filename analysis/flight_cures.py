# SPDX-License-Identifier: GPL-3.0-or-later
"""What one cure clears: whether a flight is wrong by its spacing, or by its time.

A flight that hangs, or turns sharply, between the same two places in the same time seems to fall
and to travel otherwise in its middle, though its height, its way and its time are right: evened,
nothing is left to mend. One that is played too long or too short falls and travels otherwise by
the same share of its time.
"""

import numpy as np
from numpy.typing import NDArray

from .air_time import Arc
from .basis import Basis
from .flight_hangs import LIMIT, find_shapes
from .flown import Flown
from .free_fall import GRAVITY

Floats = NDArray[np.float64]

# Half of what `hang_time` allows: what hangs by less (captured flights: 3 %) is no matter of
# spacing.
SPACED = 0.5 * LIMIT


def is_spaced(basis: Basis, flown: Flown) -> bool:
    """Whether a flight's spacing is off, so that its middle does not tell its fall and travel."""
    if flown.posed or not flown.flight.whole:
        return False
    return any(abs(each.off) > SPACED for each in find_shapes(basis, [flown.flight]))


def evened_fall(basis: Basis, flown: Flown) -> float:
    """How strongly it would fall, story m/s2, on an even arc of its height in its time; 0 where
    it does not rise above its ends."""
    if basis.com is None:
        return 0.0
    heights = basis.com[flown.leaves : flown.lands + 1, 2] * basis.height.to_story
    up, down = float(heights.max() - heights[0]), float(heights.max() - heights[-1])
    return Arc(up, down, (flown.lands - flown.leaves) * basis.dt_s).fall


def evened_velocity(basis: Basis, flown: Flown) -> Floats:
    """(2,) its level velocity, scene m/s, by where it leaves and lands alone."""
    if basis.com is None:
        return np.zeros(2)
    seconds = (flown.lands - flown.leaves) * basis.dt_s
    return np.asarray((basis.com[flown.lands, :2] - basis.com[flown.leaves, :2]) / seconds)


def retimed_share(basis: Basis, flown: Flown) -> float | None:
    """By which factor of its time it would fall as gravity has it; None where the character's
    size is not known."""
    if basis.height.story_m is None or flown.fall <= 0.0:
        return None
    return float(np.sqrt(flown.fall / GRAVITY))
