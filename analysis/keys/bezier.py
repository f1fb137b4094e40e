# SPDX-License-Identifier: GPL-3.0-or-later
"""Cubic Bezier segments between two keys: where in time, and what value there."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# How far automatic handles reach into a segment, as shares of its length: with and without
# Blender's smoothing for continuous acceleration (its default). 2.5614 is Blender's own constant
# for automatic handles (BKE_nurb_handle_calc): 2 / (2 * 2.5614).
AUTO_ARM = 2.5614
SMOOTH_REACH, PLAIN_REACH = 1.0 / 3.0, 1.0 / AUTO_ARM
_STEPS = 60
_NEAR = 1e-13


def parameter_at(share: Floats, out: Floats | float, back: Floats | float) -> Floats:
    """The Bezier parameter (N,) at shares (N,) of a segment's length.

    out, back   shares of the length that the first key's and the last key's handle reach into
                the segment, 0 to 1. Newton's method, held between bounds that close in on it.
    """
    out, back = np.broadcast_to(out, share.shape), np.broadcast_to(back, share.shape)
    u, low, high = share.copy(), np.zeros(share.shape), np.ones(share.shape)
    for _ in range(_STEPS):
        v = 1.0 - u
        miss = 3.0 * v * v * u * out + 3.0 * v * u * u * (1.0 - back) + u**3 - share
        if (np.abs(miss) < _NEAR).all():
            break
        low, high = np.where(miss < 0.0, u, low), np.where(miss > 0.0, u, high)
        steep = 3.0 * (v * v * out + 2.0 * v * u * (1.0 - out - back) + u * u * back)
        new = u - miss / np.where(steep > _NEAR, steep, 1.0)
        inside = (steep > _NEAR) & (new >= low) & (new <= high)
        u = np.where(np.abs(miss) < _NEAR, u, np.where(inside, new, 0.5 * (low + high)))
    return u


def bezier(u: Floats, p: Floats, q: Floats, r: Floats, s: Floats) -> Floats:
    """The cubic with control values p, q, r, s at parameters u; shapes broadcast."""
    v = 1.0 - u
    return np.asarray(v**3 * p + 3.0 * v * v * u * q + 3.0 * v * u * u * r + u**3 * s)
