# SPDX-License-Identifier: GPL-3.0-or-later
"""`hang_time`: does a flight hang at its top, or turn too sharply there? Does a swing slow at its
turn?"""

from dataclasses import replace

import numpy as np

from ..basis import Basis
from ..basis.flights import Flight
from ..basis.mass import NO_COM
from ..evidence import Evidence, RawEvent, Suggestion
from ..hang import FREE_SHARE, Hang, hang_of
from ..loop import Cycle
from ..swing_turns import find_swing_turns
from ..words import count_text, frame_text
from .contract import CheckInfo

# The share may be off by so much.
LIMIT = 0.10
# Shorter flights have too few frames for a shape.
SHORTEST_S, LEAST_SAMPLES = 0.2, 6
NO_FLIGHT = "nothing leaves the ground and lands in this range"

INFO = CheckInfo(
    name="hang_time",
    question="Does a flight hang or turn sharply at its top, and does a swing slow at its turn?",
    definition=(
        "In the air is a figure none of whose points is near floor or support (6 cm at 1.7 m) "
        "and none of whose soles is still below 15 cm. Under gravity the centre of mass spends "
        "half of its rise in the rise's top quarter, and half of its fall in the fall's, "
        "wherever the flight begins and ends. More is a hang, less a sharp turn. Flights of .2 "
        "seconds and 6 frames or more with their apex inside are judged. A swing is a way there "
        "and back of the body to its side (7 cm at 1.7 m), of a hand or a prop's tip against the "
        "chest (8.5 cm), each of .16 s and four frames or more, of which 1.25 s are looked at; "
        "judged is the time in the outer quarters of both ways, as far as the shorter one goes: "
        "even spacing has 25 %, a sine 33 %, a minimum-jerk movement 36 %. Only even spacing is a "
        "fault, never a long stay; quiet are turns in declared events, of what hits something, of "
        "parts on twos, and of a body that a planted foot can push so hard. Eight such turns of "
        "two parts or more that are three quarters of all are the shot's style."
    ),
    unit="% of the flight, or of the swing",
    limit="a flight 10 % of its time away from 50 %, a swing under 29 % of its time near its turn",
    limit_in_full=(
        "10 % of the flight's time away from 50 %; under 29 % of the swing's time near its turn, "
        "32 % of each way's, on ways within 7 % (body) or 6 % (hand, prop) of even spacing"
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
    flights, swings = _flights(basis), find_swing_turns(basis, cycle)
    answered = bool(swings.turns) and flights.skipped == NO_FLIGHT
    return replace(
        flights,
        skipped="" if answered else flights.skipped,
        events=flights.events + swings.events,
        good=" ".join(each for each in (flights.good, swings.good) if each),
        habit=swings.habit,
        measures=flights.measures | swings.measures,
    )


def _flights(basis: Basis) -> Evidence:
    """What there is to say of flights."""
    if basis.com is None:
        return Evidence("hang_time", skipped=NO_COM)
    flights = [flight for flight in basis.flights if flight.whole and flight.judged]
    shapes = [(flight, hang) for flight in flights if (hang := flight_hang(basis, flight))]
    if not shapes:
        return Evidence("hang_time", skipped=_why_none(basis, flights))
    limit = LIMIT * basis.settings.factor("hang_time")
    off = [(f, hang) for f, hang in shapes if abs(hang.share - FREE_SHARE) > limit]
    shares = [hang.share for _flight, hang in shapes]
    many = count_text(len(shapes), "flight")
    good = "" if off else f"{many}: {_range(shares)} near the top; gravity gives 50 %."
    return Evidence(
        "hang_time",
        tuple(_event(basis, flight, hang, limit) for flight, hang in off),
        good=good,
        measures={"hang_share": float(np.mean(shares))},
    )


def _why_none(basis: Basis, flights: list[Flight]) -> str:
    if any(not flight.known for flight in basis.flights):
        return "the body has gaps in the air, and bridged motion has no shape of its own"
    if not flights and any(flight.held for flight in basis.flights):
        return "nothing is seen to bear the figure, yet it does not fall: declare what bears it"
    if not flights:
        return NO_FLIGHT
    if not any(_long_enough(basis, flight) for flight in flights):
        return f"{count_text(len(flights), 'flight')}, too short to have a shape (.2 s, 6 frames)"
    return f"{count_text(len(flights), 'flight')}, but none that rises and falls"


def flight_hang(basis: Basis, flight: Flight) -> Hang | None:
    """Apex and hang of the centre of mass in a flight; None where it is too short to tell."""
    if basis.com is None or not _long_enough(basis, flight):
        return None
    return hang_of(basis.com[flight.first : flight.last + 1, 2])


def _long_enough(basis: Basis, flight: Flight) -> bool:
    return flight.samples >= LEAST_SAMPLES and flight.samples * basis.dt_s >= SHORTEST_S


def _range(shares: list[float]) -> str:
    low, high = (f"{100.0 * share:.0f} %" for share in (min(shares), max(shares)))
    part = low if low == high else f"{low} to {high}"
    return f"{part} of the time in the air"


def _event(basis: Basis, flight: Flight, hang: Hang, limit: float) -> RawEvent:
    first, last = (frame_text(basis.frames[at]) for at in (flight.first, flight.last))
    share = f"{100.0 * hang.share:.0f} %"
    if hang.share > FREE_SHARE:
        what = f"hangs: {share} of the time near the top"
        text = "Let {it} rise and fall in one even arc: less time at the top"
    else:
        what = f"turns sharply at the top: only {share} of the time near it"
        text = "Let {it} slow down into the top and speed up out of it: more time there"
    peak = flight.first + round(hang.apex)
    return RawEvent(
        check="hang_time",
        body=basis.lead,
        first=flight.first,
        last=flight.last,
        peak=peak,
        amount=100.0 * abs(hang.share - FREE_SHARE),
        limit=100.0 * limit,
        unit="% of the flight",
        visible_m=_off_arc(basis, flight),
        step_m=0.0,
        says=(
            f"In the air, frames {first} to {last}, the {{who}} {what}, where gravity gives 50 %."
        ),
        suggestion=Suggestion(f"{text}.", frame=float(basis.frames[peak])),
    )


def _off_arc(basis: Basis, flight: Flight) -> float:
    """How far, in scene metres, the centre of mass is off the parabola that fits it best."""
    if basis.com is None:
        return 0.0
    height = basis.com[flight.first : flight.last + 1, 2]
    time = np.linspace(-1.0, 1.0, len(height))
    fitted = np.polynomial.Polynomial.fit(time, height, 2)
    return float(np.abs(height - fitted(time)).max())
