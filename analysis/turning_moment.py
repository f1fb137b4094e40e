# SPDX-License-Identifier: GPL-3.0-or-later
"""The moment that turns a figure about its centre of mass, from how its limbs move.

Newton's second law for turning: the moment of all outer forces about the centre of mass is the sum
over the segments (and what is heavy and held) of m (r x a), taken from the centre of mass, and of
what each segment, an even rod, needs to turn by itself: m/12 (d x d''), with d from end to end.
Gravity has no moment there, so that this tells where under the body the ground presses.
"""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.core import SPEED_WINDOW_S
from .basis.loads import rods_with_loads
from .basis.mass import segment_rods
from .free_fall import GRAVITY
from .smoothing import smooth

Floats = NDArray[np.float64]


def turning_moment(basis: Basis) -> Floats:
    """(T,3) in body weights times metres at the story's height, smoothed over a fifth of a second.

    Of a figure whose centre of mass is known.
    """
    share, at, ends = rods_with_loads(basis, *segment_rods(basis))
    along = np.moveaxis(ends[:, 1] - ends[:, 0], 0, 1)
    place = np.moveaxis(ends[:, 0], 0, 1) + at[:, None] * along
    pulled, bent = (
        smooth(paths, basis.dt_s, window_s=SPEED_WINDOW_S, derivative=2) for paths in (place, along)
    )
    centre = np.einsum("ts,tsj->tj", share, place)
    mean = np.einsum("ts,tsj->tj", share, pulled)
    of_places = np.cross(place - centre[:, None], pulled - mean[:, None])
    moment = np.einsum("ts,tsj->tj", share, of_places + np.cross(along, bent) / 12.0)
    return np.asarray(moment * basis.height.to_story**2 / GRAVITY)


def own_swing(basis: Basis) -> Floats:
    """(T,) how strongly the segments are thrown about the centre of mass: sum of m |a| against
    it, in body weights. What is not known of their masses is a share of this."""
    share, at, ends = rods_with_loads(basis, *segment_rods(basis))
    place = np.moveaxis(ends[:, 0] + at[:, None, None] * (ends[:, 1] - ends[:, 0]), 0, 1)
    pulled = smooth(place, basis.dt_s, window_s=SPEED_WINDOW_S, derivative=2)
    mean = np.einsum("ts,tsj->tj", share, pulled)
    size = np.linalg.norm(pulled - mean[:, None], axis=-1)
    return np.asarray(np.sum(size * share, axis=1) * basis.height.to_story / GRAVITY)
