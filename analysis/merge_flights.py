# SPDX-License-Identifier: GPL-3.0-or-later
"""Flights: which check tells one that several see, and what else its shape does. And steps that
float: what they do to the legs."""

from .basis import Basis
from .merged import LIMBS, NEAR, TOGETHER, Merged, length, overlap, same
from .parts import LEG, split_part

# A flight of a wrong shape bends the body's path for some frames, and where it lands. The first
# of these tells it: what is evened in the same time falls and travels right, or is told then; what
# is played in another time may travel right; where it lands mends neither.
FLIGHTS = ("hang_time", "gravity", "carry")
# A step that floats is told by this check.
STEP = "carry"


def takes_flight(old: Merged, new: Merged) -> bool:
    """Join what two checks say of one flight; the one whose cure may clear both leads."""
    if not {old.lead.check, new.lead.check} <= set(FLIGHTS) or old.lead.check == new.lead.check:
        return False
    apart = max(abs(old.lead.first - new.lead.first), abs(old.lead.last - new.lead.last))
    if apart > NEAR or not same(old, new):
        return False
    if FLIGHTS.index(new.lead.check) < FLIGHTS.index(old.lead.check):
        old.lead = new.lead
    old.members += new.members
    return True


def take_bends(basis: Basis, merged: list[Merged], flight: Merged, loop: int) -> None:
    """Let a flight tell what its shape does to the body's path: pops of two frames or more in it,
    and next to its ends, and runs up to a sharp turn at its top. A stray key of one frame in it is
    an event of its own."""
    if flight.lead.check not in FLIGHTS:
        return
    for old in [each for each in merged if each.lead.check in ("pop", "straight_run")]:
        inside = flight.lead.first < old.lead.first and old.lead.last < flight.lead.last
        runs = old.lead.check == "straight_run" and _is_carried(basis, old, flight)
        runs = runs and overlap(old, flight, loop)
        bends = old.lead.check == "pop" and (length(old) > 0 or not inside)
        if runs or (bends and same(old, flight) and overlap(old, flight, loop)):
            flight.members += old.members
            merged.remove(old)


def _is_carried(basis: Basis, old: Merged, by: Merged) -> bool:
    """Whether an event is of the body of another one, or of what that carries."""
    if by.owner is None or old.owner is None:
        return old.owner == by.owner
    return by.owner in (old.owner, *basis.ancestors(old.owner))


def take_reaches(basis: Basis, merged: list[Merged], step: Merged) -> None:
    """Let a step that floats tell the legs that do not reach in it: it takes them too far, and
    lower hips, that clear these, leave it as it is."""
    if step.lead.check != STEP:
        return
    for old in [each for each in merged if each.lead.check in LIMBS and each.owner is not None]:
        leg = split_part(basis.bodies[old.owner or 0].part or "")[0] in LEG
        inside = step.lead.first - TOGETHER <= old.lead.first
        if leg and inside and old.lead.last <= step.lead.last + TOGETHER:
            step.members += old.members
            merged.remove(old)
