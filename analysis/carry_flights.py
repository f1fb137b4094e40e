# SPDX-License-Identifier: GPL-3.0-or-later
"""How far a flight goes beyond what its take-off carries it.

In the air nothing pushes: the centre of mass keeps its level velocity from the take-off to the
landing. On the ground feet change that velocity, but never at once. So a flight whose velocity
differs from that of the last moment before it, and alike from that of the first moment after it,
was stretched, shortened or led aside.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .declared import is_declared
from .flight_cures import evened_velocity, is_spaced, retimed_share
from .flown import Flown
from .memory import recalled

Floats = NDArray[np.float64]

# A flight may go beyond by this share of the height, 14 cm at 1.7 m: of 255 clean ones one does.
BEYOND_SHARE = 0.14 / 1.7
# Both ends must say it: neither says less than this share of what both say together.
AGREE_SHARE = 0.5
AGREE_COSINE = 0.7
# Noise is told on so many samples; so many standard errors are asked for besides.
LEAST_NOISE, SURE_TIMES = 6, 1.0
# What is off by more than this share of that already in mid-air was pushed there.
BROKEN_SHARE = 0.6
# What the air alone foretells is told by this share of a flight, four samples or more.
EARLY_SHARE, LEAST_EARLY = 0.5, 4


@dataclass(frozen=True)
class Ground:
    """How the velocity at either end is told: by a polynomial over so long on the ground, a
    sample more than its degree or more, carried on over what is left out next to the flight."""

    seconds: float
    degree: int
    out_s: float = 0.0

    def samples(self, dt_s: float) -> tuple[int, int]:
        """How many steps the polynomial goes over, and how many are left out."""
        return max(round(self.seconds / dt_s), self.degree + 1), round(self.out_s / dt_s)


PLAIN = Ground(0.17, 2)
# What drifts may do so from a frame before it leaves to a frame after it lands, which bends the
# plain end so that it hides all. Two that leave that frame out and agree tell it then, but each
# of them errs more: they count for this much less.
WITHOUT = (Ground(0.13, 2, 0.04), Ground(0.25, 3, 0.04))
LESS = 1.3


@dataclass(frozen=True, eq=False)
class Carried:
    """A flight's level travel; metres and m/s of the scene, (2,) each.

    beyond          by how much it goes further than its take-off carries it: the mean of what
                    both ends say
    size_m          how far that is; no more than twice what each of the ends says, 0 where they
                    do not agree
    before, air, after   velocity as it leaves the ground, in the air, as it meets the ground
    unsure_m        how far noise from frame to frame alone may make `size_m` seem
    evened_m        `size_m` where its spacing is evened; the same where that is right
    retimed_m       `size_m` where it is played so long that it falls as gravity has it; the same
                    where the character's size is not known
    doubt           how many times as large it must be to count
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
    evened_m: float
    retimed_m: float
    doubt: float

    @property
    def sure_m(self) -> float:
        """As much of its size as counts."""
        return self.size_m / self.doubt

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


def travels_so(basis: Basis, flown: Flown, widened: float) -> bool:
    """Whether a flight goes elsewhere than its take-off carries it, and played so long that it
    falls as gravity has it would land right: one cure clears both. Widened: by the tolerance."""
    found = find_carried(basis, [flown])
    limit = BEYOND_SHARE * basis.height.scene_m * widened
    return any(each.sure_m > limit + each.unsure_m and each.retimed_m <= limit for each in found)


def retimed(carried: Carried, share: float, dt_s: float) -> Carried:
    """What a flight does that goes the same way in `share` times its time."""
    seconds = share * (carried.flown.lands - carried.flown.leaves) * dt_s
    air = carried.air / share
    beyond, size = _beyond(carried.before, air, carried.after, seconds)
    return replace(carried, air=air, beyond=beyond, size_m=size, unsure_m=share * carried.unsure_m)


def _carried(basis: Basis, flown: Flown) -> Carried | None:
    plain = _told(basis, flown, PLAIN)
    if plain is None:
        return None
    others = [_told(basis, flown, ground, LESS) for ground in WITHOUT]
    known = [each for each in others if each is not None]
    if len(known) < len(others):
        return plain
    # What the spacing does reaches into the ends as well: the least of what they say is its own.
    evened = min(each.evened_m for each in (plain, *known))
    least = min(known, key=lambda each: each.size_m)
    agree = all(float(each.way @ least.way) >= AGREE_COSINE for each in known)
    clear = least if agree and least.sure_m > plain.size_m else plain
    return replace(clear, evened_m=evened) if is_spaced(basis, flown) else clear


def _told(basis: Basis, flown: Flown, ground: Ground, doubt: float = 1.0) -> Carried | None:
    """What the ground around a flight tells of it; None where there is too little."""
    if basis.com is None:
        return None
    count, out = ground.samples(basis.dt_s)
    first, last = flown.leaves - out - count, flown.lands + out + count
    if first < 0 or last >= len(basis.frames) or is_declared(basis, basis.lead, first, last):
        return None
    level, dt_s, flight = basis.com[:, :2], basis.dt_s, flown.flight
    path = level[flight.first : flight.last + 1]
    row = _slope_row(count + 1, out, ground.degree, dt_s)
    before = -row @ level[first : flown.leaves - out + 1][::-1]
    after = row @ level[flown.lands + out : last + 1]
    air = recalled(basis.memory, _mean_velocity, path, dt_s)
    seconds = (flown.lands - flown.leaves) * dt_s
    beyond, size = _beyond(before, air, after, seconds)
    even = evened_velocity(basis, flown) if is_spaced(basis, flown) else air
    share = retimed_share(basis, flown) or 1.0
    error = float(np.linalg.norm(row)) * seconds / np.sqrt(2.0)
    return Carried(
        flown,
        beyond,
        size,
        before,
        air,
        after,
        recalled(basis.memory, drift_of, path),
        SURE_TIMES * noise_of(path) * error,
        evened_m=_beyond(before, even, after, seconds)[1],
        retimed_m=_beyond(before, even / share, after, share * seconds)[1],
        doubt=doubt,
    )


def _beyond(before: Floats, air: Floats, after: Floats, seconds: float) -> tuple[Floats, float]:
    """By how much it goes further (2,), and how far that is, as both ends agree."""
    ends = ((air - before) * seconds, (air - after) * seconds)
    beyond = 0.5 * (ends[0] + ends[1])
    length = float(np.linalg.norm(beyond))
    least = max(min(float(each @ beyond) / max(length, 1e-12) for each in ends), 0.0)
    return beyond, min(length, least / AGREE_SHARE)


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


@lru_cache(maxsize=16)
def _slope_row(count: int, out: int, degree: int, dt_s: float) -> Floats:
    """(count,) weights that give the slope, 1/s, of a polynomial through so many samples, so many
    steps before the first of them; of noise of 1 its standard error is their length."""
    since = (np.arange(count) + out) * dt_s
    row = np.asarray(np.linalg.pinv(np.vander(since, degree + 1, increasing=True))[1])
    row.flags.writeable = False
    return row


def _mean_velocity(path: Floats, dt_s: float) -> Floats:
    time = np.arange(len(path)) * dt_s
    return np.asarray(np.polynomial.polynomial.polyfit(time, path, 1)[1])
