# SPDX-License-Identifier: GPL-3.0-or-later
"""How far a flight goes beyond what its take-off carries it.

In the air nothing pushes: the centre of mass keeps its level velocity from the take-off to the
landing. On the ground feet change that velocity, but never at once. So a flight whose velocity
differs from that of the last moment before it, and alike from that of the first moment after it,
was stretched, shortened or led aside.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .declared import is_declared
from .flown import Flown

Floats = NDArray[np.float64]

# The velocity at either end is that of a parabola over so long on the ground, four samples or more.
GROUND_S, DEGREE = 0.17, 2
# Both ends must say it: neither says less than this share of what both say together.
AGREE_SHARE = 0.5
# Noise is told on so many samples; so many standard errors are asked for besides.
LEAST_NOISE, SURE_TIMES = 6, 1.0
# What is off by more than this share of that already in mid-air was pushed there.
BROKEN_SHARE = 0.6
# What the air alone foretells is told by this share of a flight, four samples or more.
EARLY_SHARE, LEAST_EARLY = 0.5, 4


@dataclass(frozen=True, eq=False)
class Carried:
    """A flight's level travel; metres and m/s of the scene, (2,) each.

    beyond          by how much it goes further than its take-off carries it: the mean of what
                    both ends say
    size_m          how far that is; no more than twice what each of the ends says, 0 where they
                    do not agree
    before, air, after   velocity as it leaves the ground, in the air, as it meets the ground
    unsure_m        how far noise from frame to frame alone may make `size_m` seem
    drift           by how much it lands off the place that the first half in the air foretells
    """

    flown: Flown
    beyond: Floats
    size_m: float
    before: Floats
    air: Floats
    after: Floats
    drift: Floats
    unsure_m: float

    @property
    def breaks(self) -> bool:
        """Whether it is pushed in mid-air, so that its take-off is not to blame."""
        return float(np.linalg.norm(self.drift)) > BROKEN_SHARE * self.size_m

    @property
    def way(self) -> Floats:
        """(2,) unit vector of `beyond`; 0 where there is none."""
        length = float(np.linalg.norm(self.beyond))
        return self.beyond / length if length > 0.0 else np.zeros(2)


def find_carried(basis: Basis, flown: Sequence[Flown]) -> list[Carried]:
    """Of each whole flight that is one arc, with ground around it and no declared event in it."""
    found = [_carried(basis, each) for each in flown if each.even and each.flight.whole]
    return [each for each in found if each is not None]


def _carried(basis: Basis, flown: Flown) -> Carried | None:
    if basis.com is None:
        return None
    count = max(round(GROUND_S / basis.dt_s), DEGREE + 1)
    first, last = flown.leaves - count, flown.lands + count
    if first < 0 or last >= len(basis.frames) or is_declared(basis, basis.lead, first, last):
        return None
    level = basis.com[:, :2]
    before = _end_velocity(level[first : flown.leaves + 1][::-1], -basis.dt_s)
    after = _end_velocity(level[flown.lands : last + 1], basis.dt_s)
    flight = flown.flight
    air = _mean_velocity(level[flight.first : flight.last + 1], basis.dt_s)
    seconds = (flown.lands - flown.leaves) * basis.dt_s
    ends = ((air - before) * seconds, (air - after) * seconds)
    beyond = 0.5 * (ends[0] + ends[1])
    length = float(np.linalg.norm(beyond))
    least = max(min(float(each @ beyond) / max(length, 1e-12) for each in ends), 0.0)
    drift = drift_of(level[flight.first : flight.last + 1])
    unsure = SURE_TIMES * noise_of(level[flight.first : flight.last + 1])
    unsure *= _end_error(count + 1, basis.dt_s) * seconds / np.sqrt(2.0)
    return Carried(
        flown, beyond, min(length, least / AGREE_SHARE), before, air, after, drift, float(unsure)
    )


def drift_of(path: Floats) -> Floats:
    """(2,) how far a level path (N,2) in the air ends off what its first half foretells."""
    early = max(round(EARLY_SHARE * len(path)), min(LEAST_EARLY, len(path)))
    at = np.arange(len(path), dtype=np.float64)
    start, step = np.polynomial.polynomial.polyfit(at[:early], path[:early], 1)
    return np.asarray(path[-1] - (start + step * at[-1]))


def noise_of(path: Floats) -> float:
    """Standard deviation of the noise of a smooth path (N,D), each axis, by its third differences:
    of noise alone these have 20 times its variance (1, 3, 3, 1 squared); 0 on few samples."""
    if len(path) < LEAST_NOISE:
        return 0.0
    return float(np.sqrt(np.mean(np.diff(path, 3, axis=0) ** 2) / 20.0))


def _end_error(count: int, dt_s: float) -> float:
    """Standard error of `_end_velocity` on so many samples with noise of 1, in 1/s."""
    powers = np.vander(np.arange(count) * dt_s, DEGREE + 1, increasing=True)
    return float(np.sqrt(np.linalg.inv(powers.T @ powers)[1, 1]))


def _end_velocity(path: Floats, dt_s: float) -> Floats:
    """(2,) velocity at the first sample of a path (N,2), by a parabola."""
    time = np.arange(len(path)) * dt_s
    return np.asarray(np.polynomial.polynomial.polyfit(time, path, DEGREE)[1])


def _mean_velocity(path: Floats, dt_s: float) -> Floats:
    time = np.arange(len(path)) * dt_s
    return np.asarray(np.polynomial.polynomial.polyfit(time, path, 1)[1])
