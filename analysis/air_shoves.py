# SPDX-License-Identifier: GPL-3.0-or-later
"""Shoves in the air: in a flight the centre of mass keeps its level speed, so that its path, seen
from above, is a straight and even line. One that breaks on its way was pushed there.

The line of three parts (where it begins, how fast it goes, by how much that changes) is fitted by
least squares with its break on each sample in turn, and compared with the parabola that fits best:
a path that bends all the way is a sway of what is known of the masses, and no push.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.contacts import runs
from .basis.flights import Flight
from .basis.height import USUAL_M
from .free_fall import GRAVITY
from .shoves import Shove

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A break is told where at least so many samples are in the air, and so long; it lies at least so
# many samples from the ends.
LEAST_SAMPLES, LEAST_S, INSIDE = 9, 0.28, 2
# Feet leave and land sooner than the 6 cm from which on a flight is told; flesh that joints do not
# tell (a shoulder, a thigh) touches up to so long before they do.
FLESH_S = 0.07
# The change of speed from which on it is a push, m/s at 1.7 m (people of any size push alike: with
# the root of the height, by Froude's law), and how much of what the best parabola leaves its line
# may leave: near an end, or where joints tremble, a parabola follows a clear change as well. It is
# so many times its standard error.
CHANGES, ERRORS = ((0.34, 0.7), (0.45, 1.2)), 5.0
# A push so long counts as one; its force is the change over that time.
LASTS_S = 0.1


@dataclass(frozen=True, eq=False)
class Break:
    """at      sample of the path
    change (2,)   of the level velocity, in the path's metres a second
    error         its standard error
    left, curved  root mean square that this line, and the best parabola, leave
    """

    at: int
    change: Floats
    error: float
    left: float
    curved: float


def long_enough(basis: Basis, flight: Flight) -> bool:
    """Whether a break in a flight can be told."""
    return flight.samples >= LEAST_SAMPLES and flight.samples * basis.dt_s >= LEAST_S


def find_air_shoves(basis: Basis, outside: Bools) -> tuple[Shove, ...]:
    """The clearest shove of each flight, but for where something was declared to reach the figure.

    outside (T,)   samples on which something was declared to reach the figure
    """
    if basis.com is None or basis.height.story_m is None:
        return ()
    found = []
    for flight in basis.flights:
        if not (flight.judged and long_enough(basis, flight)):
            continue
        first, last = _free(basis, flight, outside)
        if last - first + 1 < LEAST_SAMPLES - 2:
            continue
        path = basis.com[first : last + 1, :2] * basis.height.to_story
        shove = _shove(basis, first, fit_break(path, basis.dt_s))
        if shove is not None:
            found.append(shove)
    return tuple(found)


def _free(basis: Basis, flight: Flight, outside: Bools) -> tuple[int, int]:
    """First and last sample of a flight on which surely nothing touches: the longest such piece."""
    touch = basis.touch_points
    feet = np.asarray((touch.touches & touch.sole).any(axis=1))
    cut = max(round(FLESH_S / basis.dt_s), 1)
    first, last = flight.first, flight.last
    if first > 0 and not feet[first - 1]:
        first += cut
    if last < len(feet) - 1 and not feet[last + 1]:
        last -= cut
    pieces = runs(~outside[first : last + 1]) or [(0, -1)]
    begins, ends = max(pieces, key=lambda piece: piece[1] - piece[0])
    return first + begins, first + ends


def fit_break(path: Floats, dt_s: float) -> Break:
    """The line with one break that fits a level path (N,2) best; N is 6 or more."""
    count = len(path)
    time: Floats = np.arange(count, dtype=np.float64) * dt_s
    best: Break | None = None
    curved = _left(np.vander(time, 3), path)[1]
    for at in range(INSIDE, count - INSIDE):
        bent = np.maximum(time - time[at], 0.0)
        powers = np.stack((np.ones(count), time, bent), axis=1)
        fitted, left, error = _left(powers, path)
        if best is None or left < best.left:
            best = Break(at, fitted[2], error, left, curved)
    if best is None:
        raise ValueError(f"a path has {count} samples, expected 6 or more: leave it out.")
    return best


def _left(powers: Floats, path: Floats) -> tuple[Floats, float, float]:
    """What fits, the root mean square of what that leaves, and the last part's standard error."""
    inverse = np.linalg.inv(powers.T @ powers)
    fitted = inverse @ powers.T @ path
    off = path - powers @ fitted
    left = float(np.sqrt(np.mean(np.sum(off * off, axis=1))))
    freedom = max(len(path) - powers.shape[1], 1)
    error = float(np.sqrt(np.sum(off * off) / (2.0 * freedom) * inverse[-1, -1]))
    return fitted, left, error


def _shove(basis: Basis, first: int, found: Break) -> Shove | None:
    tall = basis.height.scene_m * basis.height.to_story
    factor = basis.settings.factor("push") * float(np.sqrt(tall / USUAL_M))
    speed = float(np.linalg.norm(found.change))
    clear = any(
        speed > change * factor and found.left < share * found.curved for change, share in CHANGES
    )
    if not clear or speed <= ERRORS * found.error:
        return None
    limit = factor * CHANGES[0][0]
    peak = first + found.at
    force = np.append(found.change, 0.0) / (LASTS_S * GRAVITY)
    half = max(round(0.5 * LASTS_S / basis.dt_s), 1)
    return Shove(peak - half, peak + half, peak, force, speed, limit / (LASTS_S * GRAVITY))
