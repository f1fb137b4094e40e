# SPDX-License-Identifier: GPL-3.0-or-later
"""`gravity`: does the centre of mass fall as gravity makes it fall?"""

from dataclasses import dataclass

import numpy as np

from ..basis import Basis
from ..basis.flights import Flight
from ..evidence import Evidence, RawEvent, Suggestion
from ..free_fall import GRAVITY, Fall, fit_fall
from ..loop import Cycle
from ..words import count_text, frame_text, size_text
from .contract import CheckInfo

# A flight falls as it should within this factor; where nothing tells the scale, or one flight
# stands alone, within the wider one.
FACTOR, WIDE_FACTOR = 1.18, 2.0
SHORTEST_S = 0.25
# A fit counts only where it is off by more than so many of its standard errors.
ERRORS = 2.5

INFO = CheckInfo(
    name="gravity",
    question="Does the centre of mass fall as gravity makes it fall?",
    definition=(
        "An even acceleration is fitted to the path of the centre of mass in each flight of .25 "
        "seconds or more, a tenth left out at both ends. Flights that fall alike are a style, "
        "which is told and not blamed. Where flights disagree, or the story's height is given, "
        "each is compared with 9.80665 m/s2 at the character's size; where the size is not "
        "known, with the shot's other flights. A single flight is blamed below half and above "
        "twice gravity only."
    ),
    unit="m/s2",
    limit="a factor of 1.18 (strict 1.13, loose 1.28); 2 for a single flight",
    source=(
        "standard gravity: 3rd CGPM 1901; the factor from trials on captured jumps, where "
        "flights of one character agree to 5 %"
    ),
    stages=("spline", "polish"),
    mend="Change the number of frames in the air, or the height of the arc, as the numbers say.",
)


@dataclass(frozen=True, eq=False)
class _Fallen:
    """A flight with its fall; `story` is how strongly it falls at the character's size, m/s2."""

    flight: Flight
    fall: Fall
    story: float


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each flight that falls too fast or too slowly, on the body that leads."""
    if basis.com is None:
        why = "the centre of mass is not known: trunk and both legs are needed"
        return Evidence("gravity", skipped=why)
    fallen = _fallen(basis)
    if not fallen:
        return Evidence("gravity", skipped=_why_none(basis))
    should, factor = _expected(basis, fallen)
    factor = 1.0 + (factor - 1.0) * basis.settings.limit_factor
    events = [
        _event(basis, each, should, factor) for each in fallen if _is_off(each, should, factor)
    ]
    good = "" if events else _good(basis, fallen)
    measured = float(np.median([each.story for each in fallen]))
    return Evidence("gravity", tuple(events), good=good, measures={"fall_m_s2": measured})


def _fallen(basis: Basis) -> list[_Fallen]:
    assert basis.com is not None
    found = []
    for flight in basis.flights:
        if flight.held or flight.samples * basis.dt_s < SHORTEST_S:
            continue
        fall = fit_fall(basis.com[flight.first : flight.last + 1], basis.dt_s)
        if fall is not None:
            found.append(_Fallen(flight, fall, fall.down * basis.height.to_story))
    return found


def _why_none(basis: Basis) -> str:
    held = [flight for flight in basis.flights if flight.held]
    if held:
        first, last = (frame_text(basis.frames[at]) for at in (held[0].first, held[0].last))
        return (
            f"nothing is seen to bear the figure from frame {first} to {last}, yet it does not "
            "fall: declare what bears it"
        )
    if basis.flights:
        return f"{count_text(len(basis.flights), 'flight')}, all under .25 s: too short to fit"
    return "nothing leaves the ground in this range"


def _expected(basis: Basis, fallen: list[_Fallen]) -> tuple[float, float]:
    """How strongly flights should fall (story m/s2), and within which factor."""
    falls = np.array([each.story for each in fallen])
    agree = falls.max() <= FACTOR**2 * max(falls.min(), 1e-9)
    if basis.height.story_m is None:
        return float(np.median(falls)), FACTOR
    if basis.settings.height_m is not None or not agree:
        return GRAVITY, FACTOR
    if len(fallen) > 1:  # alike: a style
        return float(np.median(falls)), FACTOR
    return GRAVITY, WIDE_FACTOR


def _is_off(each: _Fallen, should: float, factor: float) -> bool:
    ratio = max(each.story, 1e-9) / should
    sure = abs(each.fall.down - should * each.fall.down / max(each.story, 1e-9)) > (
        ERRORS * each.fall.error
    )
    return sure and not 1.0 / factor <= ratio <= factor


def _event(basis: Basis, each: _Fallen, should: float, factor: float) -> RawEvent:
    flight, ratio = each.flight, each.story / should
    first, last = (frame_text(basis.frames[at]) for at in (flight.first, flight.last))
    time_s = (flight.samples + 1) * basis.dt_s
    gap = abs(each.story - should)
    sag = gap * time_s**2 / 8.0 / basis.height.to_story
    times = f"{ratio:.1f} times as fast as" if ratio > 1.0 else f"{ratio:.2f} times as fast as"
    than = "gravity has it" if should == GRAVITY else "the shot's other flights"
    peak = (flight.first + flight.last) // 2
    return RawEvent(
        check="gravity",
        body=basis.lead,
        first=flight.first,
        last=flight.last,
        peak=peak,
        amount=gap,
        limit=should * (factor - 1.0 if ratio > 1.0 else 1.0 - 1.0 / factor),
        unit="m/s2",
        visible_m=sag,
        step_m=0.0,
        says=(
            f"In the air, frames {first} to {last}, the {{who}} falls {times} {than} "
            f"({each.story:.1f} m/s2)."
        ),
        suggestion=Suggestion(_advice(basis, each, should, sag), frame=float(basis.frames[peak])),
    )


def _advice(basis: Basis, each: _Fallen, should: float, sag_m: float) -> str:
    """Both ways out: other timing for this arc, or another arc for this timing."""
    has = each.flight.samples
    needs = round(has * float(np.sqrt(each.story / should)))
    sag = size_text(sag_m * basis.height.to_story)
    lower, add = ("lower", "add") if each.story > should else ("higher", "take out")
    change = f"{add} {abs(needs - has)}" if needs != has else "keep them"
    return (
        f"This arc needs {count_text(needs, 'frame')} in the air, it has {has}: {change}, or make "
        f"the arc {sag} {lower}."
    )


def _good(basis: Basis, fallen: list[_Fallen]) -> str:
    falls = [each.story for each in fallen]
    how = f"{count_text(len(fallen), 'flight')} at {np.median(falls):.1f} m/s2"
    if basis.height.story_m is None:
        return f"{how} in scene metres; the character's height is not known, so no more is said."
    ratio = float(np.median(falls)) / GRAVITY
    if 1.0 / FACTOR <= ratio <= FACTOR:
        return f"{how}: gravity gives 9.8."
    alike = (
        "all alike: a style, not a fault" if len(fallen) > 1 else "one flight alone is not blamed"
    )
    return f"{how}, {ratio:.1f} times gravity, {alike}."
