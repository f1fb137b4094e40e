# SPDX-License-Identifier: GPL-3.0-or-later
"""Colour by speed: the cividis map, even to the eye and alike to the colour-blind.

Nunez, Anderton & Renslow 2018, PLoS ONE 13(7): e0199239, doi 10.1371/journal.pone.0199239; every
17th of its 256 published values, sRGB, straight lines between them.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

CIVIDIS = np.array(
    [
        (0.000000, 0.135112, 0.304751),
        (0.000000, 0.181610, 0.421859),
        (0.117612, 0.225935, 0.434308),
        (0.208926, 0.272546, 0.424809),
        (0.279411, 0.318677, 0.423031),
        (0.342246, 0.364939, 0.428559),
        (0.401418, 0.411790, 0.440708),
        (0.458366, 0.459552, 0.460457),
        (0.517920, 0.508454, 0.472707),
        (0.582087, 0.558670, 0.468118),
        (0.648222, 0.610553, 0.454801),
        (0.716177, 0.664384, 0.432386),
        (0.785965, 0.720438, 0.399613),
        (0.857809, 0.778969, 0.353259),
        (0.932180, 0.840159, 0.285880),
        (0.995737, 0.909344, 0.217772),
    ],
    dtype=np.float32,
)
# Speeds above this share of all dots look alike, so that one jump does not darken the rest.
FAST_PERCENTILE = 95.0


def cividis(amounts: Any) -> NDArray[np.float32]:
    """(N,3) sRGB for amounts (N,) of 0 to 1; what lies outside is held at the ends."""
    places = np.clip(np.asarray(amounts, dtype=np.float64), 0.0, 1.0) * (len(CIVIDIS) - 1)
    anchors = np.arange(len(CIVIDIS))
    mixed = [np.interp(places, anchors, CIVIDIS[:, channel]) for channel in range(3)]
    return np.stack(mixed, axis=-1).astype(np.float32)


def full_speed(speeds: Any) -> float:
    """The speed in m/s that the bright end of the map stands for; 0 where nothing moves."""
    known = np.asarray(speeds, dtype=np.float64)
    return float(np.percentile(known, FAST_PERCENTILE)) if len(known) else 0.0


def speed_colours(speeds: Any, full: float) -> NDArray[np.float32]:
    """(N,3) sRGB: dark where still, bright from the speed `full` in m/s upwards."""
    known = np.asarray(speeds, dtype=np.float64)
    return cividis(known / full if full > 0.0 else np.zeros(len(known)))
