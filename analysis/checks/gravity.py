# SPDX-License-Identifier: GPL-3.0-or-later
"""`gravity`: does the centre of mass fall as gravity makes it fall?"""

from dataclasses import replace

import numpy as np

from ..basis import Basis
from ..basis.flights import Flight
from ..basis.mass import NO_COM
from ..carry_flights import travels_so
from ..evidence import Evidence
from ..flight_cures import evened_fall, is_spaced
from ..flight_standard import FACTOR, Standard, find_standard
from ..flown import SHORTEST_S, Flown
from ..flown_poses import is_stepped
from ..flown_shot import flights_of, flown_of
from ..loop import Cycle
from ..looped import Places, lay_out
from ..topple_told import with_topples
from ..unjudged_flights import event_text, held_text, no_arc_text
from ..words import count_text
from .contract import CheckInfo
from .gravity_words import alike_text, fall_event, good_text, open_text, why_unblamed

SPACED = (
    "the spacing of a flight is off, so that its middle does not tell its fall: by its height and "
    "its time it falls as it should"
)

INFO = CheckInfo(
    name="gravity",
    question="Does the centre of mass fall as gravity makes it fall?",
    definition=(
        "An even acceleration is fitted to the path of the centre of mass in each flight of .25 "
        "seconds or more, a tenth left out at both ends; a path that is no even fall is not "
        "judged. In stepped blocking, and at the stage blocking wherever the path is no arc, the "
        "time from the pose that leaves to the one that lands is compared with what the height "
        "of the highest pose takes; where these two are bent, between what it may fall is told, "
        "and it is right, or blamed, only where each reading says so. "
        "Flights that fall alike are a style, which is told and not "
        "blamed: where two in three of a shot's flights agree (within 1.21), each is compared with "
        "these, but one that falls as gravity has it (1.15) is right where they nearly do. Where "
        "flights disagree, or the story's height is given, each is compared with 9.80665 m/s2 "
        "at the character's size; where the size is not known, with the shot's other flights "
        "(the second of two with the first). A single flight is blamed below half and above "
        "twice gravity only, or where other timing mends its level travel too (`carry`). A flight "
        "that falls right by its height and time and is only spaced wrongly is told by "
        "`hang_time`. A stiff body that topples about its feet (from 20 degrees of lean or "
        "less to 35 or more) is compared with an even rod of its height and with a pendulum; one "
        "that does not gain speed as one fall does is blamed only where it takes too long as well."
    ),
    unit="m/s2",
    limit="a factor of 1.21 (strict 1.16, loose 1.32); 2 for a single flight",
    limit_in_full=(
        "a factor of 1.21 (strict 1.16, loose 1.32); 2 for a single flight; 1.4 where poses tell "
        "it, unless it is too quick even with all the time that bent poses leave open; a single "
        "one is too slow by 2 from key to key and by 1.4 however late it leaves; two flights agree "
        "within 1.3; no less than 2.5 standard errors of the fit; "
        "1.4 (strict 1.3, loose 1.6) in how fast a topple gains speed, under a rod or over a "
        "pendulum, and in the square of its speed over what its drop gives, on two frames beyond "
        "20 degrees; by the root of that in time, for one that gains speed unevenly"
    ),
    source=(
        "standard gravity: 3rd CGPM 1901; height and time: Bosco, Luhtanen & Komi 1983, Eur J Appl "
        "Physiol 50:273-282; the factor from trials on captured jumps, where flights of one "
        "character agree to 5 %; topples: mechanics of rigid bodies, a rod's rate is 3 g / 2 H and "
        "a pendulum's g / l times the sine of the lean, and v2 <= 2 g h of what comes down by h"
    ),
    stages=("blocking", "spline", "polish"),
    mend="Change the number of frames in the air, or the height of the arc, as the numbers say.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each flight and topple that falls too fast or too slowly, on the body that
    leads."""
    if basis.com is None:
        return Evidence("gravity", skipped=NO_COM)
    found = _of_flights(basis, cycle)
    return found if is_stepped(basis) else with_topples(basis, found)


def _of_flights(basis: Basis, cycle: Cycle) -> Evidence:
    places = Places(basis, lay_out(basis, cycle))
    flights = flights_of(places)
    flown = flown_of(places, flights)
    judged = [each for each in flown if each.even]
    short = sum(each.samples * basis.dt_s < SHORTEST_S for each in flights)
    if not judged:
        return Evidence("gravity", skipped=_why_none(places, flights), measures=_short(short))
    standard = find_standard(basis, flown)
    # What its spacing alone does to a flight, `hang_time` tells.
    spaced = [each for each in judged if standard and _is_spacing(places, each, standard)]
    off = [] if standard is None else _off(places, judged, flown, standard)
    off = [each for each in off if each not in spaced]
    events = [] if standard is None else [fall_event(places, each, standard) for each in off]
    left = [each for each in judged if standard and each not in off and standard.is_open(each)]
    plain = [each for each in judged if each not in spaced and each not in left]
    measures = {"fall_m_s2": float(np.median([each.told for each in judged])), **_short(short)}
    opened = open_text(places, left, standard)
    unblamed = why_unblamed(basis, plain, standard) if plain else "" if left else SPACED
    skipped = "" if off else unblamed
    # What other flights tell does not answer for those that are not known.
    return Evidence(
        "gravity",
        tuple(events),
        good=good_text(basis, plain) if plain and not (off or skipped) else "",
        habit=alike_text(basis, [each for each in plain if each not in off], standard, len(judged)),
        skipped=skipped or opened or _why_unjudged(places, flights, judged),
        measures=measures,
    )


def _off(
    places: Places, judged: list[Flown], flown: list[Flown], standard: Standard
) -> list[Flown]:
    """Those that fall otherwise than they should."""
    basis = places.basis
    widened = basis.settings.factor("gravity")
    first = basis.height.story_m is None and not standard.alike and len(flown) == 2
    asked = judged[1:] if first and len(judged) == 2 else judged
    return [each for each in asked if _is_off(places.rounds_basis, each, standard, widened)]


def _is_off(basis: Basis, flown: Flown, standard: Standard, widened: float) -> bool:
    """Whether it falls otherwise; one flight alone also by less, where its travel says the same."""
    if standard.is_off(flown, widened) or standard.factor <= FACTOR:
        return standard.is_off(flown, widened)
    near = replace(standard, factor=FACTOR)
    return near.is_off(flown, widened) and travels_so(basis, flown, basis.settings.factor("carry"))


def _is_spacing(places: Places, flown: Flown, standard: Standard) -> bool:
    """Whether its spacing is off, and evened it falls as it should."""
    basis = places.rounds_basis
    if not is_spaced(basis, flown):
        return False
    evened = replace(flown, fall=evened_fall(basis, flown))
    return not standard.is_off(evened, basis.settings.factor("gravity"))


def _short(count: int) -> dict[str, float]:
    return {"flights_too_short": float(count)} if count else {}


def _why_unknown(places: Places, flights: list[Flight]) -> str:
    """Why flights cannot be judged that may well fall wrongly; empty where there are none."""
    if held := held_text(places, flights):
        return held
    if any(not flight.known for flight in flights):
        return "the body has gaps in the air, and bridged motion does not fall"
    return ""


def _why_unjudged(places: Places, flights: list[Flight], judged: list[Flown]) -> str:
    """Why some flights are not judged beside others that are."""
    # Poses that are held stand still in the air: those that are judged do not hang there.
    posed = [each.flight for each in judged if each.posed]
    rest = [each for each in flights if not any(_overlap(each, other) for other in posed)]
    return _why_unknown(places, rest) or no_arc_text(places, flights, judged)


def _overlap(one: Flight, other: Flight) -> bool:
    return one.first <= other.last and other.first <= one.last


def _why_none(places: Places, flights: list[Flight]) -> str:
    if why := _why_unknown(places, flights):
        return why
    if any(flight.samples * places.basis.dt_s >= SHORTEST_S for flight in flights):
        why = "the path in the air is no arc of one fall, so its strength is not told"
        return event_text(places, flights) or why
    if flights:
        return f"{count_text(len(flights), 'flight')}, all under .25 s, too short to fit"
    return "nothing leaves the ground in this range"
