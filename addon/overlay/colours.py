# SPDX-License-Identifier: GPL-3.0-or-later
"""Colour by speed: a ramp that is even to the eye, which the preferences choose."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from .look import look_now
from .ramps import RAMPS

# Speeds above this share of all dots look alike, so that one jump does not darken the rest.
FAST_PERCENTILE = 95.0


def ramp_colours(amounts: Any, ramp: str, *, reverse: bool = False) -> NDArray[np.float32]:
    """(N,3) sRGB for amounts (N,) of 0 to 1, dark at 0, or bright where it is reversed; what lies
    outside is held at the ends. Straight lines lie between the values of the table."""
    table = RAMPS[ramp][::-1] if reverse else RAMPS[ramp]
    anchors = np.arange(len(table))
    places = np.clip(np.asarray(amounts, dtype=np.float64), 0.0, 1.0) * anchors[-1]
    mixed = [np.interp(places, anchors, table[:, channel]) for channel in range(3)]
    return np.stack(mixed, axis=-1).astype(np.float32)


def full_speed(speeds: Any) -> float:
    """The speed in m/s that the far end of the ramp stands for; 0 where nothing moves."""
    known = np.asarray(speeds, dtype=np.float64)
    return float(np.percentile(known, FAST_PERCENTILE)) if len(known) else 0.0


def speed_colours(speeds: Any, full: float) -> NDArray[np.float32]:
    """(N,3) sRGB of the ramp that is preferred now: dark where still, bright from the speed `full`
    in m/s upwards, or the other way round."""
    known, look = np.asarray(speeds, dtype=np.float64), look_now()
    amounts = known / full if full > 0.0 else np.zeros(len(known))
    return ramp_colours(amounts, look.ramp, reverse=look.reverse)
