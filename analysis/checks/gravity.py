# SPDX-License-Identifier: GPL-3.0-or-later
"""`gravity`: does the centre of mass fall as gravity makes it fall?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.flights import Flight
from ..basis.mass import NO_COM
from ..evidence import Evidence, RawEvent, Suggestion
from ..free_fall import GRAVITY, Fall, fit_fall
from ..loop import Cycle
from ..topple_told import with_topples
from ..words import count_text, frame_text, size_text
from .contract import CheckInfo

Floats = NDArray[np.float64]

# A flight falls as it should within this factor; where nothing tells the scale, or one flight
# stands alone, within the wider one.
FACTOR, WIDE_FACTOR = 1.18, 2.0
SHORTEST_S = 0.25
# A path that is further off the fitted arc than this share of its height is no fall of one
# strength: it lands on something unseen, or hangs (captured jumps: .01 to .03).
UNEVEN = 0.08
# Feet leave so long before a flight begins, and land so long after it, at most: flights are
# told from 6 cm up.
AROUND_S = 0.15
# A fit counts only where it is off by more than so many of its standard errors.
ERRORS = 2.5

INFO = CheckInfo(
    name="gravity",
    question="Does the centre of mass fall as gravity makes it fall?",
    definition=(
        "An even acceleration is fitted to the path of the centre of mass in each flight of .25 "
        "seconds or more, a tenth left out at both ends; a path that is no even fall is not "
        "judged. Flights that fall alike are a style, which is told and not blamed. Where "
        "flights disagree, or the story's height is given, each is compared with 9.80665 m/s2 "
        "at the character's size; where the size is not known, with the shot's other flights "
        "(the second of two with the first). A single flight is blamed below half and above "
        "twice gravity only. A stiff body that topples about its feet (from 20 degrees of lean or "
        "less to 35 or more) is compared with an even rod of its height and with a pendulum."
    ),
    unit="m/s2",
    limit="a factor of 1.18 (strict 1.14, loose 1.27); 2 for a single flight",
    limit_in_full=(
        "a factor of 1.18 (strict 1.14, loose 1.27) in a flight's fall; 2 for a single flight; "
        "1.4 (strict 1.3, loose 1.6) in how fast a topple gains speed, under a rod or over a "
        "pendulum"
    ),
    source=(
        "standard gravity: 3rd CGPM 1901; the factor from trials on captured jumps, where "
        "flights of one character agree to 5 %; topples: mechanics of rigid bodies, a rod's rate "
        "is 3 g / 2 H and a pendulum's g / l times the sine of the lean"
    ),
    stages=("spline", "polish"),
    mend="Change the number of frames in the air, or the height of the arc, as the numbers say.",
)


@dataclass(frozen=True, eq=False)
class _Fallen:
    """A flight with its fall; `story` is how strongly it falls at the character's size, m/s2.

    One that falls unevenly is not judged, but breaks the shot's habit.
    """

    flight: Flight
    fall: Fall
    story: float

    @property
    def even(self) -> bool:
        return self.fall.unevenness <= UNEVEN


@dataclass(frozen=True)
class _Standard:
    """How strongly a flight should fall (story m/s2), within which factor, and who says so."""

    fall: float
    factor: float
    told_by: str


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each flight and topple that falls too fast or too slowly, on the body that
    leads."""
    if basis.com is None:
        return Evidence("gravity", skipped=NO_COM)
    return with_topples(basis, _of_flights(basis))


def _of_flights(basis: Basis) -> Evidence:
    if basis.com is None:
        return Evidence("gravity", skipped=NO_COM)
    flown = [each for flight in basis.flights if (each := _fallen(basis, basis.com, flight))]
    fallen = [each for each in flown if each.even]
    if not fallen:
        return Evidence("gravity", skipped=_why_none(basis))
    standard = _standard(basis, fallen, flown)
    # Of two flights of unknown size nothing tells which is right: the second is compared.
    asked = fallen if basis.height.story_m or len(fallen) != 2 else fallen[1:]
    events = [_event(basis, each, standard) for each in asked if _is_off(basis, each, standard)]
    measures = {"fall_m_s2": float(np.median([each.story for each in fallen]))}
    good, skipped = ("", "") if events else _unblamed(basis, fallen)
    # What other flights tell does not answer for those that are not known.
    why = skipped or _why_unknown(basis)
    return Evidence("gravity", tuple(events), good=good, skipped=why, measures=measures)


def _fallen(basis: Basis, com: Floats, flight: Flight) -> _Fallen | None:
    """A flight with its fall; None where it cannot be judged."""
    if not flight.judged or flight.samples * basis.dt_s < SHORTEST_S:
        return None
    fall = fit_fall(com[flight.first : flight.last + 1], basis.dt_s)
    if fall is None or fall.down <= 0.0:  # what gains speed upwards does not fall at all
        return None
    found = _Fallen(flight, fall, fall.down * basis.height.to_story)
    # Where the landing is not seen, an uneven path may have one that was not declared.
    return found if found.even or flight.whole else None


def _why_unknown(basis: Basis) -> str:
    """Why flights cannot be judged that may well fall wrongly; empty where there are none."""
    held = [flight for flight in basis.flights if flight.held]
    if held:
        first, last = (frame_text(basis.frames[at]) for at in (held[0].first, held[0].last))
        return (
            f"nothing is seen to bear the figure from frame {first} to {last}, yet it does not "
            "fall: declare what bears it"
        )
    if any(not flight.known for flight in basis.flights):
        return "the body has gaps in the air, and bridged motion does not fall"
    return ""


def _why_none(basis: Basis) -> str:
    if why := _why_unknown(basis):
        return why
    if any(flight.samples * basis.dt_s >= SHORTEST_S for flight in basis.flights):
        return "the path in the air is no arc of one fall, so its strength is not told"
    if basis.flights:
        return f"{count_text(len(basis.flights), 'flight')}, all under .25 s, too short to fit"
    return "nothing leaves the ground in this range"


def _standard(basis: Basis, fallen: list[_Fallen], flown: list[_Fallen]) -> _Standard:
    """What flights are compared with; `flown` are all of them, `fallen` those that are judged."""
    widened, height = basis.settings.factor("gravity"), basis.height
    factor, wide = (1.0 + (each - 1.0) * widened for each in (FACTOR, WIDE_FACTOR))
    falls = [each.story for each in fallen]
    if height.story_m is None and len(fallen) == 2:
        return _Standard(falls[0], factor, "the shot's other flight")
    all_falls = [each.story for each in flown]
    agree = max(all_falls) <= FACTOR**2 * max(min(all_falls), 1e-9)
    free = basis.settings.height_m is None
    if height.story_m is None or (free and agree and len(fallen) > 1):  # alike: a style
        return _Standard(float(np.median(falls)), factor, "the shot's other flights")
    return _Standard(GRAVITY, wide if free and len(flown) == 1 else factor, "gravity has it")


def _is_off(basis: Basis, each: _Fallen, standard: _Standard) -> bool:
    ratio = each.story / standard.fall
    gap = abs(each.story - standard.fall) / basis.height.to_story
    outside = not 1.0 / standard.factor <= ratio <= standard.factor
    return outside and gap > ERRORS * each.fall.error


def _event(basis: Basis, each: _Fallen, standard: _Standard) -> RawEvent:
    flight, ratio = each.flight, each.story / standard.fall
    first, last = (frame_text(basis.frames[at]) for at in (flight.first, flight.last))
    gap = abs(each.story - standard.fall)
    # Two free paths from the same take-off to the same landing are this far apart half-way.
    sag = gap * (_steps_in_air(basis, flight) * basis.dt_s) ** 2 / 8.0
    times = f"{ratio:.1f}" if ratio > 1.0 else f"{ratio:.2f}"
    over = standard.factor - 1.0 if ratio > 1.0 else 1.0 - 1.0 / standard.factor
    peak = (flight.first + flight.last) // 2
    return RawEvent(
        check="gravity",
        body=basis.lead,
        first=flight.first,
        last=flight.last,
        peak=peak,
        amount=gap,
        limit=standard.fall * over,
        unit="m/s2",
        visible_m=sag / basis.height.to_story,
        step_m=0.0,
        says=(
            f"In the air, frames {first} to {last}, the {{who}} falls {times} times as fast as "
            f"{standard.told_by} ({each.story:.1f} m/s2)."
        ),
        suggestion=Suggestion(_advice(basis, flight, ratio, sag), frame=float(basis.frames[peak])),
    )


def _steps_in_air(basis: Basis, flight: Flight) -> int:
    """Samples from the last one on which a foot stands before a flight to the first one after.

    A flight's own samples where no foot stands near it.
    """
    near = round(AROUND_S / basis.dt_s)
    before = [p.last for p in basis.plants if 0 < flight.first - p.last <= near]
    after = [p.first for p in basis.plants if 0 < p.first - flight.last <= near]
    return min(after, default=flight.last + 1) - max(before, default=flight.first - 1)


def _advice(basis: Basis, flight: Flight, ratio: float, sag_m: float) -> str:
    """Both ways out: other timing for this arc, or another arc for this timing."""
    stretch = float(np.sqrt(ratio))
    if not flight.whole:
        return f"Give this flight {stretch:.2f} times its frames, or {1 / ratio:.2f} of its height."
    frames = _steps_in_air(basis, flight) * float(basis.frames[1] - basis.frames[0])
    has, needs = round(frames) - 1, round(frames * stretch) - 1
    lower, add = ("lower", "add") if ratio > 1.0 else ("higher", "take out")
    arc = f"ake the arc {size_text(sag_m)} {lower}."
    if needs == has:
        return f"M{arc}"
    return (
        f"This arc needs {count_text(needs, 'frame')} in the air, it has {has}: "
        f"{add} {abs(needs - has)}, or m{arc}"
    )


def _unblamed(basis: Basis, fallen: list[_Fallen]) -> tuple[str, str]:
    """A sentence on what is good, or on what is not judged, where no flight is blamed."""
    falls = [each.story for each in fallen]
    how = f"{count_text(len(fallen), 'flight')} at {np.median(falls):.1f} m/s2"
    if basis.height.story_m is None:
        alone = "one flight alone tells nothing" if len(fallen) == 1 else "all of them fall alike"
        told = f"{how} in scene metres; the character's height is not known, and {alone}"
        return ("", told) if len(fallen) == 1 else (f"{told}.", "")
    ratio = float(np.median(falls)) / GRAVITY
    if 1.0 / FACTOR <= ratio <= FACTOR:
        return f"{how}: gravity gives 9.8.", ""
    if len(fallen) > 1:
        return f"{how}, {ratio:.1f} times gravity, all alike: a style, not a fault.", ""
    return "", f"{how}, {ratio:.1f} times gravity; one flight alone may be meant so"
