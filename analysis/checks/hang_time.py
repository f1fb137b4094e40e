# SPDX-License-Identifier: GPL-3.0-or-later
"""`hang_time`: does a flight hang at its top, or turn too sharply there?"""

import numpy as np

from ..basis import Basis
from ..basis.flights import Flight
from ..basis.mass import NO_COM
from ..evidence import Evidence, RawEvent, Suggestion
from ..hang import FREE_SHARE, Hang, hang_of
from ..loop import Cycle
from ..words import count_text, frame_text
from .contract import CheckInfo

# The share may be off by so much.
LIMIT = 0.10
# Shorter flights have too few frames for a shape.
SHORTEST_S, LEAST_SAMPLES = 0.2, 6

INFO = CheckInfo(
    name="hang_time",
    question="Does a flight hang at its top, or turn too sharply there?",
    definition=(
        "In the air is a figure none of whose points is near floor or support (6 cm at 1.7 m) "
        "and none of whose soles is still below 15 cm. Under gravity the centre of mass spends "
        "half of its rise in the rise's top quarter, and half of its fall in the fall's, "
        "wherever the flight begins and ends. More is a hang, less a sharp turn. Flights of .2 "
        "seconds and 6 frames or more with their apex inside are judged."
    ),
    unit="% of the flight",
    limit="10 % of the flight's time away from 50 %",
    source=(
        "time above the share f of the apex is T sqrt(1-f): Bosco, Luhtanen & Komi 1983, Eur J "
        "Appl Physiol 50:273-282; the limit comes from trials on captured jumps"
    ),
    stages=("spline", "polish"),
    mend="Shape the body's height as one smooth arc: no flat keys and no extra keys at the top.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each flight whose shape is off, on the body that leads."""
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
        return "nothing leaves the ground and lands in this range"
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
