# SPDX-License-Identifier: GPL-3.0-or-later
"""Why flights are not judged, in the same words in each check: each reason is read once."""

from collections.abc import Sequence

import numpy as np

from .basis.flights import Flight
from .declared import is_declared
from .event_forces import heeded
from .flown import SHORTEST_S, Flown
from .flown_poses import is_stepped
from .free_fall import fit_fall
from .looped import Places
from .words import frames_text


def held_text(places: Places, flights: Sequence[Flight]) -> str:
    """Where nothing is seen to bear the figure, and it is no jump; empty where that is nowhere."""
    held = [flight for flight in flights if flight.held]
    if not held:
        return ""
    first, last = (places.frame(at) for at in (held[0].first, held[0].last))
    return (
        f"nothing is seen to bear the figure from frame {first} to {last}, yet it does not fall: "
        "declare what bears it; if nothing does, it hangs in the air"
    )


def no_arc_text(places: Places, flights: Sequence[Flight], judged: Sequence[Flown]) -> str:
    """Which whole flights are no arc that one fall explains; empty where all are judged."""
    if places.looped is None and is_stepped(places.basis):
        return ""  # poses that are held are no path
    left = [each for each in flights if _is_asked(places, each) and not _is_among(each, judged)]
    return _text(places, left, "is no arc of one fall: neither its strength nor its travel is told")


def no_shape_text(places: Places, flights: Sequence[Flight]) -> str:
    """Which of these flights do not rise and fall, so that they have no top; empty: none."""
    asked = [each for each in flights if _is_asked(places, each)]
    return _text(places, asked, "has no top between its ends: whether it hangs is not told")


def event_text(places: Places, flights: Sequence[Flight]) -> str:
    """Which declared event leaves too little of a flight to tell its fall; empty: none."""
    basis = places.basis
    for event in heeded(basis):
        first, last = (np.searchsorted(basis.frames, frame) for frame in event.frames)
        if any(each.first <= last and first <= each.last for each in flights):
            return (
                f"the declared {event.kind} on {frames_text(*event.frames)} moves the body in the "
                "air, and too little of the flight is left beside it to tell its fall"
            )
    return ""


def _text(places: Places, flights: Sequence[Flight], what: str) -> str:
    if not flights:
        return ""
    more = f" ({len(flights) - 1} more alike)" if len(flights) > 1 else ""
    return f"the flight of frames {places.text(flights[0].first, flights[0].last)} {what}{more}"


def _is_asked(places: Places, flight: Flight) -> bool:
    """Whether a flight is whole, long enough, its body known, and nothing declared moves it."""
    basis = places.rounds_basis
    if not (flight.whole and flight.judged) or flight.samples * basis.dt_s < SHORTEST_S:
        return False
    if basis.com is None or fit_fall(basis.com[flight.first : flight.last + 1], basis.dt_s) is None:
        return False
    return not is_declared(basis, basis.lead, flight.first, flight.last)


def _is_among(flight: Flight, judged: Sequence[Flown]) -> bool:
    return any(
        each.flight.first <= flight.last and flight.first <= each.flight.last for each in judged
    )
