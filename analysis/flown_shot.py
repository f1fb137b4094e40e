# SPDX-License-Identifier: GPL-3.0-or-later
"""The flights of a shot: of a range, of a loop over its seam, of poses that are held."""

from .basis.flights import Flight
from .flown import Flown, find_flown
from .flown_poses import held_flown, is_stepped
from .looped import Places


def flights_of(places: Places) -> list[Flight]:
    """Those of the range; of a loop each once, over its seam too. Samples of `rounds_basis`."""
    basis, looped = places.rounds_basis, places.looped
    if looped is None:
        return list(basis.flights)
    return [each for each in basis.flights if looped.is_once(each.first, each.last)]


def flown_of(places: Places, flights: list[Flight]) -> list[Flown]:
    """How those fall that last .25 s or more; where poses are held, what these tell of theirs."""
    basis = places.rounds_basis
    if places.looped is None and is_stepped(basis):
        return held_flown(basis)
    return find_flown(basis, flights, rough=basis.settings.stage == "blocking")
