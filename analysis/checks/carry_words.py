# SPDX-License-Identifier: GPL-3.0-or-later
"""What `carry` says: how far a flight goes beyond its take-off, and both ways out."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..carry_flights import Carried
from ..carry_poses import Posed
from ..evidence import RawEvent, Suggestion
from ..looped import Places
from ..words import count_text, direction_text, frame_text, size_text, speed_texts

Floats = NDArray[np.float64]
# What it does, and how it should land and be pushed off.
Told = tuple[str, tuple[str, str]]

# Less than this, m/s, is none.
LEAST_SPEED = 0.005
# It lands short where it is held back against the way it was pushed off, by this cosine.
SHORT_COSINE = 0.7


def flight_event(places: Places, carried: Carried, limit: float) -> RawEvent:
    """The event of a flight that lands elsewhere than its take-off carries it."""
    basis, rounds = places.basis, places.rounds_basis
    flown, to_story = carried.flown, places.basis.height.to_story
    flight, size = flown.flight, basis.size_text(carried.size_m)
    first, last = places.span(flight.first, flight.last, flight.last)
    beyond = np.append(carried.way * carried.size_m, 0.0)
    told = _short if falls_short(carried) else _too_far
    by = _by(basis)
    goes, mend = told(carried, rounds.forward[flown.leaves], size, to_story, by)
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
        says=(f"In the air, frames {places.text(flight.first, flight.last)}, the {{who}} {goes}."),
        suggestion=Suggestion(
            f"Land {mend[0]}, at frame {places.frame(flown.lands)}; or let the {by} push off, "
            f"and catch, at {mend[1]}.",
            frame=places.number(flown.lands),
            offset=places.home(-beyond, flown.lands),
        ),
    )


def land_text(carried: Carried, forward: Floats, basis: Basis) -> str:
    """Where it should land: `12.0 cm further forward`, `8.0 cm less far to the left`."""
    told = _short if falls_short(carried) else _too_far
    size = basis.size_text(carried.size_m)
    return told(carried, forward, size, basis.height.to_story, _by(basis))[1][0]


def _by(basis: Basis) -> str:
    """What gives a flight its travel: a ball that is alone has no feet."""
    return "bounces" if basis.clip.is_ball and not basis.soles else "feet"


def falls_short(carried: Carried) -> bool:
    """Whether it goes on as its take-off has it, only less far."""
    pushed, along = _pushed(carried), float(carried.air @ carried.way)
    aligned = -float(pushed @ carried.way) >= SHORT_COSINE * float(np.linalg.norm(pushed))
    return aligned and along < 0.0


def _short(carried: Carried, forward: Floats, size: str, to_story: float, by: str) -> Told:
    """What a flight does that lands short, and where and how fast it should go instead; by: what
    pushes it off."""
    on = direction_text(np.append(-carried.way, 0.0), forward)
    gives, flies = speed_texts(
        *(-float(each @ carried.way) * to_story for each in (_pushed(carried), carried.air))
    )
    goes = f"lands {size} short: its {by} give it {gives} {on}, and in the air it has {flies}"
    return goes, (f"{size} further {on}", f"{flies} {on}")


def _too_far(carried: Carried, forward: Floats, size: str, to_story: float, by: str) -> Told:
    """The same of one that goes too far, or aside."""
    way = direction_text(np.append(carried.way, 0.0), forward)
    given, flown = (float(v @ carried.way) * to_story for v in (_pushed(carried), carried.air))
    gives, flies = speed_texts(abs(given), abs(flown))
    back = flown < 0.0
    goes = f"goes {size} too far {way}: {_speeds(given, gives, flies, back, by)}"
    return goes, (f"{size} less far {way}", f"{flies} {'the other way' if back else 'that way'}")


def _speeds(given: float, gives: str, flies: str, back: bool, by: str) -> str:
    """What its feet gave it and what it has in the air, along the way that it goes too far."""
    gives = f"{gives} the other way" if given < 0.0 else gives
    if abs(given) < LEAST_SPEED:
        gives = "no speed"
    return f"that way the {by} give it {gives}, and in the air it has {flies}" + (
        " the other way" if back else ""
    )


def _pushed(carried: Carried) -> Floats:
    return np.asarray(0.5 * (carried.before + carried.after))


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
    most = size_text(max(each.sure_m for each in found) * basis.height.to_story)
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
