# SPDX-License-Identifier: GPL-3.0-or-later
"""`hang_time`: does a flight hang at its top, or turn too sharply there? Does a swing slow at its
turn?"""

from dataclasses import replace

import numpy as np

from ..basis import Basis
from ..basis.flights import Flight
from ..basis.mass import NO_COM
from ..evidence import Evidence
from ..flight_hangs import LIMIT, Shape, find_shapes, habit_of, long_enough
from ..flight_standard import find_standard
from ..flown_shot import flights_of, flown_of
from ..hang import FREE_SHARE
from ..loop import Cycle
from ..looped import Places, lay_out
from ..swing_turns import find_swing_turns
from ..unjudged_flights import held_text, no_shape_text
from ..words import count_text
from .contract import CheckInfo
from .hang_words import flight_event

NO_FLIGHT = "nothing leaves the ground and lands in this range"
TOO_SHORT = (
    "too short to have a shape: one takes .2 s and 6 frames in the air, on twos 6 poses (12 frames)"
)

INFO = CheckInfo(
    name="hang_time",
    question="Does a flight hang or turn sharply at its top, and does a swing slow at its turn?",
    definition=(
        "In the air is a figure none of whose points is near floor or support (6 cm at 1.7 m) "
        "and none of whose soles is still below 15 cm. Under gravity the centre of mass spends "
        "half of its rise in the rise's top quarter, and half of its fall in the fall's, "
        "wherever the flight begins and ends. More is a hang, less a sharp turn. Flights of .2 "
        "seconds and 6 frames or more with their apex inside are judged, by the fall or "
        "the rise alone where the other one has under two frames; what three or more, and two in "
        "three of a shot's, do alike is its style. A swing is a way there "
        "and back of the body to its side (7 cm at 1.7 m), of a hand or a prop's tip against the "
        "chest (8.5 cm), each of .16 s and four frames or more, of which 1.25 s are looked at; one "
        "of both may be .7 of that, and ends where it comes to stand for .2 s. "
        "Judged is the time in the outer quarters of both ways, as far as the shorter one goes: "
        "even spacing has 25 %, a sine 33 %, a minimum-jerk movement 36 %. Only even spacing is a "
        "fault, never a long stay; quiet are turns in declared events, of what hits something, of "
        "parts on twos, and of a body that a planted foot can push so hard. Eight such turns of "
        "two parts or more that are three quarters of all are the shot's style."
    ),
    unit="% of the flight, or of the swing",
    limit="a flight 10 % of its time away from 50 %, a swing under 29 % of its time near its turn",
    limit_in_full=(
        "10 % of the flight's time away from 50 %; under 29 % of the swing's time near its turn, "
        "32 % of each way's, on ways within 7 % (body) or 6 % (hand, prop) of even spacing, and "
        "once and a half of what trembles; .6 of that on shorter ways, and on a limb's from or to "
        "its stand; beside a turn that is found twice as much, and 36 % of each way's"
    ),
    source=(
        "time above the share f of the apex is T sqrt(1-f): Bosco, Luhtanen & Komi 1983, Eur J "
        "Appl Physiol 50:273-282; minimum jerk: Flash & Hogan 1985, J Neurosci 5:1688-1703; the "
        "limits come from trials"
    ),
    stages=("spline", "polish"),
    mend="Shape a flight's height as one smooth arc; ease a swing into its extremes and out again.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each flight whose shape is off, on the body that leads, and for each swing
    that does not slow at its turns."""
    flights, swings = _flights(basis, cycle), find_swing_turns(basis, cycle)
    answered = bool(swings.turns) and flights.skipped == NO_FLIGHT
    return replace(
        flights,
        skipped="" if answered else flights.skipped,
        events=flights.events + swings.events,
        good=" ".join(each for each in (flights.good, swings.good) if each),
        habit=" ".join(each for each in (flights.habit, swings.habit) if each),
        measures=flights.measures | swings.measures,
    )


def _flights(basis: Basis, cycle: Cycle) -> Evidence:
    """What there is to say of flights."""
    if basis.com is None:
        return Evidence("hang_time", skipped=NO_COM)
    places = Places(basis, lay_out(basis, cycle))
    every = flights_of(places)
    flights = [flight for flight in every if flight.whole and flight.judged]
    shapes = find_shapes(places.rounds_basis, flights)
    held = held_text(places, every)
    if not shapes:
        return Evidence("hang_time", skipped=_why_none(basis, flights, held))
    limit = LIMIT * basis.settings.factor("hang_time")
    alike = habit_of(shapes, limit)
    off = [each for each in shapes if abs(each.share - FREE_SHARE) > limit and each not in alike]
    standard = find_standard(basis, flown_of(places, every)) if off else None
    shares = [each.share for each in shapes]
    many = count_text(len(shapes), "flight")
    good = "" if off or alike else f"{many}: {_range(shares)} near the top; gravity gives 50 %."
    return Evidence(
        "hang_time",
        tuple(flight_event(places, each, limit, standard) for each in off),
        good=good,
        habit=_habit_text(alike, len(shapes)),
        skipped=held or no_shape_text(places, _without(flights, shapes)),
        measures={"hang_share": float(np.mean(shares))},
    )


def _without(flights: list[Flight], shapes: list[Shape]) -> list[Flight]:
    told = [shape.flight for shape in shapes]
    return [flight for flight in flights if flight not in told]


def _why_none(basis: Basis, flights: list[Flight], held: str) -> str:
    if any(not flight.known for flight in basis.flights):
        return "the body has gaps in the air, and bridged motion has no shape of its own"
    if not flights and held:
        return held
    if not flights:
        return NO_FLIGHT
    if not any(long_enough(basis, flight) for flight in flights):
        return f"{count_text(len(flights), 'flight')}, {TOO_SHORT}"
    return f"{count_text(len(flights), 'flight')}, but none that rises and falls"


def _range(shares: list[float]) -> str:
    low, high = (f"{100.0 * share:.0f} %" for share in (min(shares), max(shares)))
    part = low if low == high else f"{low} to {high}"
    return f"{part} of the time in the air"


def _habit_text(alike: list[Shape], count: int) -> str:
    if not alike:
        return ""
    what = "hang" if alike[0].share > FREE_SHARE else "turn sharply"
    shares = _range([each.share for each in alike])
    return (
        f"{len(alike)} of {count_text(count, 'flight')} {what} at the top, all alike ({shares} "
        "near it, where gravity gives 50 %): a style, not a fault."
    )
