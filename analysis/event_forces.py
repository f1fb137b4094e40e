# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside declared events force is a measure: what reaches the figure there, beyond gravity and
what its contacts can give, in body weights, and how much faster that makes it.

Of a body that something bears it is what no contact can give, summed over the part of the event in
which it adds up to most (what the body stops by itself is no less of a push): of a push that feet
could have given they are taken to give their share. In the air, where nothing bears it and
gravity is known, it is the change of the speed from before the event to after it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.flights import Flight
from .declared import is_there
from .free_fall import GRAVITY
from .meta import Event
from .outside_force import OutsideForce
from .shoves import Shove

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Smoothing smears a force over so much beside an event in which it acts.
SMEARED_S = 0.1
# In the air: the speeds before and after are those of so many samples, and so long, at least; feet
# may give something so long after a flight begins, and before it ends.
LEAST_SAMPLES, LEAST_S, ENDS_S = 3, 0.08, 0.03
# An impulse in the air counts as a force of so long.
LASTS_S = 0.1


def reached(basis: Basis, smeared_s: float = SMEARED_S) -> Bools:
    """(T,) where something was declared to reach the figure, and what smoothing makes of that."""
    found = np.zeros(len(basis.frames), dtype=bool)
    for event in heeded(basis):
        found |= _samples(basis, event, round(smeared_s / basis.dt_s))
    return found


@dataclass(frozen=True)
class Given:
    """What an event gives: body weights at most, and m/s (story) by which it changes the speed."""

    event: Event
    body_weights: float
    speed: float


def event_forces(basis: Basis, forces: OutsideForce) -> tuple[Given, ...]:
    """What each event gives, in the order in which they are declared; none where it cannot be
    told."""
    found = []
    for event in heeded(basis):
        change = _change_in_air(basis, event)
        inside = _samples(basis, event, round(SMEARED_S / basis.dt_s)) & forces.judged
        if change is not None:
            speed = float(np.linalg.norm(change))
            found.append(Given(event, speed / (LASTS_S * GRAVITY), speed))
        elif inside.any() and not _flies(basis, event):
            peak = float(forces.size[inside].max())
            found.append(Given(event, peak, _most_gained(forces.left[inside], basis.dt_s)))
    return tuple(found)


def strongest(given: Sequence[Given]) -> dict[str, float]:
    """`event_force_peak_bw` and `event_speed_m_s` of the strongest events; empty without any."""
    if not given:
        return {}
    return {
        "event_force_peak_bw": max(each.body_weights for each in given),
        "event_speed_m_s": max(each.speed for each in given),
    }


def whole(basis: Basis, forces: OutsideForce, shove: Shove) -> Shove:
    """A shove as long as it lasts where what smoothing makes of an event beside it cuts it short;
    it ends before the event itself."""
    if not basis.clip.meta.events:
        return shove
    going_on = forces.size > 0.5 * shove.size
    going_on &= ~reached(basis, smeared_s=0.0)
    first, last = shove.first, shove.last
    while first > 0 and going_on[first - 1]:
        first -= 1
    while last < len(going_on) - 1 and going_on[last + 1]:
        last += 1
    return replace(shove, first=first, last=last)


def _most_gained(left: Floats, dt_s: float) -> float:
    """The most, in m/s, by which forces (N,3) in body weights change the speed on their way: a blow
    that the body stops again while the event still lasts adds up to nothing."""
    gained = np.concatenate((np.zeros((1, 3)), np.cumsum(left, axis=0))) * dt_s * GRAVITY
    return float(np.linalg.norm(gained[:, None] - gained[None], axis=-1).max())


def heeded(basis: Basis) -> Iterator[Event]:
    """The declared events that reach the figure."""
    for event in basis.clip.meta.events:
        if event.part != "camera" and is_there(basis, event):
            yield event


def _samples(basis: Basis, event: Event, beside: int) -> Bools:
    """(T,) an event's samples, one more on either side, and so many besides."""
    step = float(basis.frames[1] - basis.frames[0]) * (1 + beside)
    first, last = event.frames[0] - step, event.frames[1] + step
    return np.asarray((basis.frames >= first) & (basis.frames <= last))


def _change_in_air(basis: Basis, event: Event) -> Floats | None:
    """(3,) m/s (story) by which an event in the middle of a flight changes the speed, what gravity
    does taken out; None for an event elsewhere."""
    at = np.flatnonzero(_samples(basis, event, 0))
    least = max(LEAST_SAMPLES, round(LEAST_S / basis.dt_s))
    for flight in basis.flights if len(at) else ():
        begins, ends = _free(basis, event, flight)
        before, after = (begins, int(at[0]) - 1), (int(at[-1]) + 1, ends)
        long = all(last - first + 1 >= least for first, last in (before, after))
        if flight.judged and long:
            return _speed(basis, *after) - _speed(basis, *before)
    return None


def _flies(basis: Basis, event: Event) -> bool:
    """Whether an event begins in the air: beside it the ground gave nothing that tells of it."""
    at = np.flatnonzero(_samples(basis, event, -1))
    return len(at) > 0 and any(each.first <= at[0] <= each.last for each in basis.flights)


def _free(basis: Basis, event: Event, flight: Flight) -> tuple[int, int]:
    """First and last sample of a flight between the other events about an event."""
    cut = max(round(ENDS_S / basis.dt_s), 1)
    begins, ends = flight.first + cut, flight.last - cut
    for other in heeded(basis):
        there = np.flatnonzero(_samples(basis, other, 0))
        if len(there) and other.frames[1] < event.frames[0]:
            begins = max(begins, int(there[-1]) + 1)
        elif len(there) and other.frames[0] > event.frames[1]:
            ends = min(ends, int(there[0]) - 1)
    return begins, ends


def _speed(basis: Basis, first: int, last: int) -> Floats:
    """(3,) m/s (story) of the centre of mass between two samples, as if there were no gravity:
    that of a falling one at the first sample of the range."""
    time = basis.dt_s * np.arange(first, last + 1, dtype=np.float64)
    com = np.zeros((len(time), 3)) if basis.com is None else basis.com[first : last + 1]
    free = com * basis.height.to_story
    free = free + np.outer(0.5 * GRAVITY * time**2, [0.0, 0.0, 1.0])
    off = time - time.mean()
    return np.asarray(off @ free / float(off @ off))
