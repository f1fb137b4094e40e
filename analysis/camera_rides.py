# SPDX-License-Identifier: GPL-3.0-or-later
"""A camera that goes along with a body of the figure: it jumps as that does, and is not to blame.

Such a body keeps its even way over the picture, though a camera that stood would see it jump
as far. A camera that jumps by itself takes every body with it over the picture.
"""

import numpy as np
from numpy.typing import NDArray

from .leave_out import NEARBY, REACH, leave_out
from .picture import Picture
from .picture_jumps import Jump
from .step_out import step_out

Floats = NDArray[np.float64]

# Samples on either side that the paths of bodies are looked at over.
AROUND = NEARBY + max(REACH.values()) + 1
# A body keeps its way where it is off by less than the first share of the camera's jump; seen
# by a camera that stands it jumps by more than the second.
KEEPS_SHARE, JUMPS_SHARE = 0.25, 0.6


def rides_along(picture: Picture, bodies: Floats, stretch: slice, jump: Jump) -> bool:
    """Whether the camera goes along with one of the bodies (T,B,3) where it jumps, world."""
    peak = stretch.start + jump.peak
    first = max(stretch.start + jump.first - AROUND, stretch.start)
    window = slice(first, min(stretch.start + jump.last + AROUND + 1, stretch.stop))
    shift = first - stretch.start
    standing = Picture(
        np.repeat(picture.pose[peak : peak + 1], window.stop - first, axis=0),
        np.repeat(picture.projection[peak : peak + 1], window.stop - first, axis=0),
    )
    seen = _off(picture.at(window), bodies[window], jump, shift)
    stood = _off(standing, bodies[window], jump, shift)
    keeps, jumps = seen <= KEEPS_SHARE * jump.size, stood >= JUMPS_SHARE * jump.size
    return bool((keeps & jumps).any())


def _off(picture: Picture, bodies: Floats, jump: Jump, shift: int) -> Floats:
    """(B,) how far bodies are off their ways over a picture where it jumps, per cent."""
    places = picture.seen(bodies)[0]
    path = np.zeros((*places.shape[:-1], 3))
    path[..., ::2] = places
    if jump.stays:
        off = step_out(path)[0][jump.last - shift]
    else:
        width = jump.last - jump.first + 1
        off = leave_out(path, width).offset[jump.first - shift, jump.peak - jump.first]
    return np.asarray(np.linalg.norm(off, axis=-1))
