# SPDX-License-Identifier: GPL-3.0-or-later
"""A clip with a camera on it that frames the whole figure."""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from .faults.cameras import film, smoothed
from .moves import height_of, target

Floats = NDArray[np.float64]

SPREAD, FILLS, FOLLOWS_S = 0.24, 0.55, 1.2


def filmed(clip: Clip, angle: float, rise: float, *, follows: bool) -> Clip:
    """A camera at an angle about the vertical (radians), a rise of so many times its distance
    above the hips; it looks at where the figure is on average, or travels along."""
    subject = clip.positions[:, target(clip, "root").joint]
    path = smoothed(subject, FOLLOWS_S / clip.dt_s)
    if not follows:
        path = np.tile(subject.mean(axis=0), (len(subject), 1))
    away = height_of(clip) / (2.0 * SPREAD * FILLS)
    offset = away * np.array([np.cos(angle), np.sin(angle), rise])
    return film(clip, path + offset, path, SPREAD)
