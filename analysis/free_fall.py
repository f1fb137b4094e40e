# SPDX-License-Identifier: GPL-3.0-or-later
"""How a body falls: the acceleration that fits its path, with its uncertainty."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Standard gravity, m/s2: 3rd CGPM 1901, exact.
GRAVITY = 9.80665
# At both ends of a flight so much is left out: the feet may still, or already, bear something.
TRIM_SHARE = 0.1
LEAST_SAMPLES = 5
# A path that is further off the fitted arc than this share of its height is no fall of one
# strength: it lands on something unseen, or hangs (captured jumps: .01 to .03).
UNEVEN = 0.08
# A flight falls as it should within this factor: clean flights of one character differ by 5 %, and
# one that is played a fifth longer falls by a factor of 1.44 less.
RIGHT_FACTOR = 1.21


@dataclass(frozen=True, eq=False)
class Fall:
    """acceleration (3,)   m/s2 in the path's metres, world; up is positive
    velocity, place (3,)   m/s and metres, at the middle of the path
    error                  standard error of the vertical part of the acceleration
    samples                how many samples were fitted
    unevenness             how far the heights are off the fit (root mean square), as a share of
                           the arc that the fit has over those samples
    """

    acceleration: Floats
    velocity: Floats
    place: Floats
    error: float
    samples: int
    unevenness: float

    @property
    def down(self) -> float:
        """How strongly it falls, m/s2, down positive."""
        return -float(self.acceleration[2])

    def at(self, seconds: Floats) -> Floats:
        """(N,3) where the fit has it, so many seconds (N,) after the middle of the path."""
        time = np.asarray(seconds, dtype=np.float64)[:, None]
        return self.place + self.velocity * time + 0.5 * self.acceleration * time**2


def fit_fall(path: Floats, dt_s: float) -> Fall | None:
    """The even acceleration that fits a path (N,3) best, by least squares.

    A tenth of the samples at both ends is left out where enough remain. None with fewer than
    five samples. Smooth motion leaves errors that follow each other, so the standard error
    counts three neighbouring samples as one.
    """
    trim = round(TRIM_SHARE * len(path))
    trim = min(trim, (len(path) - LEAST_SAMPLES) // 2)
    if trim < 0:
        return None
    used = path[trim : len(path) - trim]
    count = len(used)
    time: Floats = (np.arange(count, dtype=np.float64) - 0.5 * (count - 1)) * dt_s
    powers = np.vander(time, 3, increasing=True)
    inverse = np.linalg.inv(powers.T @ powers)
    fitted = inverse @ powers.T @ used
    left = used[:, 2] - powers @ fitted[:, 2]
    variance = float(left @ left) / max(count / 3.0 - 3.0, 1.0)
    arc = 0.25 * abs(float(fitted[2, 2])) * float(np.ptp(time)) ** 2  # a T^2 / 8, and a = 2 c
    return Fall(
        acceleration=2.0 * fitted[2],
        velocity=fitted[1],
        place=fitted[0],
        error=2.0 * float(np.sqrt(variance * inverse[2, 2])),
        samples=count,
        unevenness=float(np.sqrt(np.mean(left**2))) / max(arc, 1e-12),
    )
