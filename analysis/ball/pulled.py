# SPDX-License-Identifier: GPL-3.0-or-later
"""Flights of a ball that something pulls aside in mid-air.

Of a figure its force tells that (`push`). A ball has none but its path: in the air it keeps its
level velocity (Newton's first law), so it must land where the first half of its flight leads it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..carry_flights import BEYOND_SHARE, drift_of, noise_of
from ..declared import is_declared
from ..evidence import RawEvent, Suggestion
from ..flight_cures import is_spaced
from ..flown import Flown
from ..looped import Places
from ..words import direction_text

Floats = NDArray[np.float64]

# The line through the first half is off at the end by so many times what the path trembles.
UNSURE_TIMES = 6.0


@dataclass(frozen=True, eq=False)
class Pulled:
    """A flight, and how far (2,) it ends from where its first half leads it, scene metres."""

    flown: Flown
    drift: Floats

    @property
    def size_m(self) -> float:
        """How far that is."""
        return float(np.linalg.norm(self.drift))


def find_pulled(basis: Basis, flown: Sequence[Flown]) -> list[Pulled]:
    """Those of whole flights of a ball beyond what `carry` allows; none of a figure."""
    if not basis.clip.is_ball or basis.com is None:
        return []
    limit = limit_m(basis)
    found = []
    for each in flown:
        first, last = each.flight.first, each.flight.last
        if not each.flight.whole or each.posed or is_spaced(basis, each):
            continue  # what its spacing does to it `hang_time` tells
        if is_declared(basis, basis.lead, first, last):
            continue
        path = basis.com[first : last + 1, :2]
        pulled = Pulled(each, drift_of(path))
        if pulled.size_m > limit + UNSURE_TIMES * noise_of(path):
            found.append(pulled)
    return found


def limit_m(basis: Basis) -> float:
    """How far it may end from there, scene metres."""
    return BEYOND_SHARE * basis.height.scene_m * basis.settings.factor("carry")


def pulled_event(places: Places, pulled: Pulled) -> RawEvent:
    """The event of one of them."""
    basis, flight = places.basis, pulled.flown.flight
    first, last = places.span(flight.first, flight.last, flight.last)
    drift = places.home(np.append(pulled.drift, 0.0), flight.last)
    size = basis.size_text(pulled.size_m)
    way = direction_text(drift, basis.forward[last])
    return RawEvent(
        check="carry",
        body=basis.lead,
        first=first,
        last=last,
        peak=places.sample(flight.last),
        amount=basis.amount(pulled.size_m),
        limit=basis.amount(limit_m(basis)),
        unit=basis.unit,
        visible_m=pulled.size_m,
        step_m=0.0,
        says=(
            f"In the air, frames {places.text(flight.first, flight.last)}, the {{who}} is pulled "
            f"{size} {way} of where it was going, and nothing touches it there."
        ),
        suggestion=Suggestion(
            f"Let {{it}} go on evenly over the floor, and be {size} less far {way} at frame "
            f"{places.frame(flight.last)}; or declare what pulls it as an event.",
            frame=places.number(flight.last),
            offset=-drift,
        ),
    )
