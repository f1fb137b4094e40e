# SPDX-License-Identifier: GPL-3.0-or-later
"""What `carry` says: how far a flight goes beyond its take-off, and both ways out."""

from collections.abc import Sequence

import numpy as np

from ..basis import Basis
from ..carry_flights import Carried
from ..carry_poses import Posed
from ..evidence import RawEvent, Suggestion
from ..looped import Places
from ..words import count_text, direction_text, frame_text, size_text, speed_text

# Less than this, m/s, is none.
LEAST_SPEED = 0.005


def flight_event(places: Places, carried: Carried, limit: float) -> RawEvent:
    """The event of a flight that lands elsewhere than its take-off carries it."""
    basis, rounds = places.basis, places.rounds_basis
    flown, to_story = carried.flown, places.basis.height.to_story
    flight = flown.flight
    first, last = places.span(flight.first, flight.last, flight.last)
    beyond = np.append(carried.way * carried.size_m, 0.0)
    way = direction_text(beyond, rounds.forward[flown.leaves])
    pushed, flies = (
        speed_text(abs(float(each @ carried.way)) * to_story)
        for each in (0.5 * (carried.before + carried.after), carried.air)
    )
    size = basis.size_text(carried.size_m)
    return RawEvent(
        check="carry",
        body=basis.lead,
        first=first,
        last=last,
        peak=places.sample(flight.last),
        amount=basis.amount(carried.size_m),
        limit=basis.amount(limit),
        unit=basis.unit,
        visible_m=carried.size_m,
        step_m=float(np.linalg.norm(carried.air)) * basis.dt_s,
        says=(
            f"In the air, frames {places.text(flight.first, flight.last)}, the {{who}} goes "
            f"{size} too far {way}: {_speeds(carried, pushed, flies, to_story)}."
        ),
        suggestion=Suggestion(
            f"Land {size} less far {way}, at frame {places.frame(flown.lands)}; or let the feet "
            f"push off, and catch, at {flies} {_that_way(carried)}.",
            frame=places.number(flown.lands),
            offset=places.home(-beyond, flown.lands),
        ),
    )


def _speeds(carried: Carried, pushed: str, flies: str, to_story: float) -> str:
    """What the feet gave it and what it has in the air, along the way that it goes too far."""
    given = float(0.5 * (carried.before + carried.after) @ carried.way) * to_story
    gives = f"{pushed} the other way" if given < 0.0 else pushed
    if abs(given) < LEAST_SPEED:
        gives = "no speed"
    return f"that way the feet give it {gives}, and in the air it has {flies}" + (
        " the other way" if float(carried.air @ carried.way) < 0.0 else ""
    )


def _that_way(carried: Carried) -> str:
    return "the other way" if float(carried.air @ carried.way) < 0.0 else "that way"


def pose_event(basis: Basis, posed: Posed, limit: float) -> RawEvent:
    """The event of a highest pose that lies elsewhere than its time has it."""
    length = float(np.linalg.norm(posed.off))
    off = np.append(posed.off, 0.0)
    way = direction_text(off, basis.forward[posed.at])
    leaves, lands = (frame_text(basis.frames[n]) for n in (posed.flown.leaves, posed.flown.lands))
    size = basis.size_text(length)
    return RawEvent(
        check="carry",
        body=basis.lead,
        first=posed.flown.flight.first,
        last=posed.flown.flight.last,
        peak=posed.at,
        amount=basis.amount(length),
        limit=basis.amount(limit),
        unit=basis.unit,
        visible_m=length,
        step_m=0.0,
        says=(
            f"In the air the {{who}}'s highest pose, frame {frame_text(basis.frames[posed.at])}, "
            f"lies {size} too far {way}: it comes after {100.0 * posed.share:.0f} % of the time "
            f"from frame {leaves} to {lands}, and must lie at as much of the way."
        ),
        suggestion=Suggestion(
            f"Put this pose {size} less far {way}, or change when it comes.",
            frame=float(basis.frames[posed.at]),
            offset=-off,
        ),
    )


def good_text(basis: Basis, found: Sequence[Carried]) -> str:
    """What holds where no flight is blamed."""
    most = size_text(max(each.size_m for each in found) * basis.height.to_story)
    if len(found) == 1:
        return f"1 flight: it lands within {most} of where its take-off carries it."
    many = count_text(len(found), "flight")
    return f"{many}: they land within {most} of where their take-offs carry them."


def habit_text(found: Sequence[Carried], off: Sequence[Carried]) -> str:
    """What most flights of a shot do alike."""
    shares = [
        float(np.linalg.norm(each.air))
        / max(float(np.linalg.norm(0.5 * (each.before + each.after))), 1e-9)
        for each in off
    ]
    times, of = f"{np.median(shares):.1f}", count_text(len(found), "flight")
    return (
        f"{len(off)} of {of} go {times} times as fast over the ground as their take-offs carry "
        "them, all alike: a style, not a fault."
    )
