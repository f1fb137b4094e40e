# SPDX-License-Identifier: GPL-3.0-or-later
"""`slide`: does a planted foot slip over what bears it, or a hand over a support?"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.slips import MIDDLE, Part, Slip, are_held
from ..evidence import Evidence, RawEvent
from ..feet_tell import disagreement, mover_turn, told
from ..glides import find_glides, is_carried, once, untold
from ..late import find_lates, left_of
from ..loop import Cycle
from ..looped import Places, lay_out
from ..plant_measures import plant_measures
from ..rides import find_rides
from ..skating import find_skate
from ..slid import (
    LEAST_EXACT_S,
    LEAST_OTHERS,
    LEAST_STEPS,
    OWN_TIMES,
    Slid,
    pairs_of,
    takes_long,
    unsure,
    usual_size,
    with_hands,
)
from .contract import CheckInfo
from .slide_both_words import ride_event, together_event
from .slide_feet_words import against_event, disagree_event, mover_turn_event
from .slide_late_words import late_event
from .slide_skate_words import skating_event
from .slide_words import good_text, is_hand, slip_event, why_not

Floats = NDArray[np.float64]

# Shares of the height; at 1.7 m: where feet are held (by an IK target), a slip of .45 cm straight
# along the floor out of stillness is seen, and else one of 2 cm; feet that are not held (keyed
# forwards, captured) slip a little all the time: 3 cm, 3.5 in a loop of few plants.
EXACT_SHARE, HELD_SHARE = 0.0045 / 1.7, 0.02 / 1.7
FREE_SHARE, FREE_LOOP_SHARE = 0.03 / 1.7, 0.035 / 1.7
# As it lands or pushes off, a foot may be on its way: 5 cm; where feet are held 2 straight along
# the floor, and 3 where it takes so long as LEAST_EXACT_S (no clean keyed foot more than 1.5).
END_SHARE, EXACT_END_SHARE = 0.05 / 1.7, 0.02 / 1.7
# A quick slip is told against what the others slip in as short a time.
QUICK_TIMES = 2.5
# A held foot's straight slip, and any in a loop of few plants, is so many times further than is
# unsure.
SURE_TIMES = 2.0

INFO = CheckInfo(
    name="slide",
    question="Does a planted foot slip over what it stands on, or a hand over a support?",
    definition=(
        "A foot is planted while heel, ball or toe is low (3.5 cm at 1.7 m) and slow (.4 m/s) "
        "over the floor, a declared support, or the ground that a cycle in place walks on; it "
        "touches a little longer, at the same height (.4 cm), and at any speed while a point of it "
        "keeps its height (2.5 to 3.5 mm) from one stand to the next (10 cm). The spot that it "
        "stands on is followed and held as long as it can be: rolling from heel to toe is no slip, "
        "nor is turning on the ball. A slip is the longest level way of that spot while the foot "
        "bears 45 % of the body (half as it lands or leaves; held, or shifted within .34 s: any), "
        "told against what else stands: the other foot, hands, knees, the seat. Landing, middle "
        "and push-off are judged apart: a foot that still slows down from landing, or gathers "
        "speed to leave (an eighth of a second, above .1 m/s), is on its way. The shot's own "
        "plants say what is usual, and how sure the amount is. Where the feet would stand at least "
        "twice as still on a floor that goes along, for three plants or more, the shot skates: one "
        "finding, at any speed (a plant goes 4 cm, held feet 1). Only a figure that stays where it "
        "is (it travels by less than .3 of the ground's speed) walks in place. Where both feet "
        "stand under the body and go one way at once, at any speed (2 cm), they are one finding, "
        "of the mover or the hips where those make the same move; where a mover turns and all "
        "planted feet turn with it, evenly (8 degrees a second), its turn; where the support moves "
        "and a shift in time (up to .5 s) explains four fifths of how both feet go over it, how "
        "late or early they are, else where they go astray and come back. Feet that stand at once "
        "and slip apart, or of which one drifts against the other in all their plants (5 cm a "
        "plant; on ground that goes by also 35 degrees a second), are one finding. In a loop "
        "plants go on over its seam. A hand is asked alike on any face of a declared support that "
        "it rests on: near it (3.5 cm), and slower than .1 m/s over it for a tenth of a second "
        "before the slip and after it; about what it grips (thinner than 10 cm) it may turn."
    ),
    unit="cm",
    limit=(
        "at 1.7 m: .45 cm where the shot's feet are held, else 3 cm; 5 cm as it lands or pushes off"
    ),
    limit_in_full=(
        "all at 1.7 m: where the shot's other plants are held (most of the time under .15 cm/s) "
        ".45 cm straight along the floor out of stillness, and else 2 cm; where they are not, 3 "
        "cm (3.5 in a loop with fewer than three others); as it lands or pushes off 5 cm (held: "
        "2 straight along the floor, 3 where it takes .12 s or more beside three others); and "
        "three times what half of the shot's other plants slip (2.5 in the same time, for a slip "
        "of .35 s or less), 1.5 times what nine tenths do"
    ),
    source="common practice, no source; limits from trials on captured and keyed motion",
    stages=("spline", "polish"),
    mend="Give the foot's control the same values on all keys of the plant, with flat handles.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each plant that slips, on its foot; one for both feet at once."""
    places = Places(basis, lay_out(basis, cycle))
    slips, hands = _slips(places), _slips(places, hands=True)
    hands_slid, hands_pushed = _slid(places, hands)
    rounds, factor = places.rounds_basis, basis.settings.factor("slide")
    skate = find_skate(rounds, factor)
    if skate is not None:
        events = (skating_event(places, skate), *_pair_events(basis, hands_slid))
        return Evidence("slide", events, measures=plant_measures(basis, slips, hands, hands_pushed))
    glides = once(places, find_glides(rounds, factor))
    if not (slips or hands or glides):
        return Evidence("slide", skipped=why_not(basis))
    slid, pushed = _slid(places, slips)
    feet = [s for s in slips if not (_pushed(places, s) or is_carried(places, glides, s))]
    lates = find_lates(places, factor)
    slid, hands_slid = left_of(lates, slid), left_of(lates, hands_slid)
    glides = tuple(left_of(lates, glides))
    events = (
        *(late_event(places, late) for late in lates),
        *(ride_event(places, ride) for ride in find_rides(places, glides)),
        *_events(places, feet, untold(places, glides, slid), hands_slid),
    )
    good = "" if events else good_text(basis, slips, hands, unsure(slips, -1))
    measures = plant_measures(basis, slips, hands, pushed + hands_pushed)
    return Evidence("slide", events, good=good, measures=measures)


def _slid(places: Places, slips: list[Slip]) -> tuple[list[Slid], int]:
    """Those over their limits, each at its worst; and how many more were moved from outside."""
    slid = [worst for n in range(len(slips)) if (worst := _worst(places, slips, n))]
    free = [each for each in slid if not _pushed(places, each.slip, each.part)]
    return free, len(slid) - len(free)


def _events(
    places: Places, slips: list[Slip], slid: list[Slid], hands: list[Slid]
) -> list[RawEvent]:
    """What is wrong: with the body's travel, its turn, one foot against the other, single plants.

    slips   all that nothing moves as a whole; slid, hands: feet and hands over their limits
    """
    basis, factor = places.basis, places.basis.settings.factor("slide")
    events, tells = [], told(places, slips)
    if (turn := mover_turn(places, tells, factor)) is not None:
        events.append(mover_turn_event(places, turn, tells))
        slid = [each for each in slid if not turn.explains(each, basis)]
    elif (apart := disagreement(places, tells, factor)) is not None:
        events.append(disagree_event(places, apart, tells))
        slid = [each for each in slid if not apart.explains(each)]
    groups = with_hands(slid, hands)
    told_so = {each for group in groups for each in group}
    events += [together_event(basis, group) for group in groups]
    for limbs in (slid, hands):
        events += _pair_events(basis, [each for each in limbs if each not in told_so])
    return events


def _pair_events(basis: Basis, slid: list[Slid]) -> list[RawEvent]:
    """Two feet, or two hands, at once; and those that slip alone."""
    alike, against = pairs_of(slid)
    paired = {each for pair in (*alike, *against) for each in pair}
    events = [together_event(basis, pair) for pair in alike]
    events += [against_event(basis, *pair) for pair in against]
    return events + [slip_event(basis, each) for each in slid if each not in paired]


def _slips(places: Places, *, hands: bool = False) -> list[Slip]:
    """How the foot of each plant slips; of a loop's plants, which go over its seam, each once.

    hands   ... or the hands, on declared supports
    """
    looped = places.looped
    of = places.basis if looped is None else looped.basis
    slips = of.hand_slips if hands else of.slips
    held = not hands and are_held(of, slips)
    return [
        slip
        for slip in slips
        if (len(slip.paces) >= LEAST_STEPS or (held and any(takes_long(of, p) for p in slip.parts)))
        and (looped is None or looped.is_once(slip.plant.first, slip.plant.last))
    ]


def _worst(places: Places, slips: list[Slip], n: int) -> Slid | None:
    """The part of a plant that slips furthest over its limit; None where none does."""
    basis = places.basis
    least = EXACT_SHARE * basis.height.scene_m * basis.settings.factor("slide")
    found = [
        slid
        for part in slips[n].parts
        if part.metres > least  # less is never over its limit
        for slid in _judged(places, slips, n, part)
        if slid.metres > slid.limit
    ]
    return max(found, key=lambda each: each.metres / each.limit, default=None)


def _judged(places: Places, slips: list[Slip], n: int, part: Part) -> list[Slid]:
    """A part of a plant with its limit; of a held foot also the way that is straight and level."""
    basis = places.basis
    height, factor = basis.height.scene_m, basis.settings.factor("slide")
    others = [slip for m, slip in enumerate(slips) if m != n]
    alike = [each for slip in others if (each := slip.part(part.name))]
    tells = len(alike) >= LEAST_OTHERS
    held = are_held(basis, [slips[n]] if is_hand(basis, slips[n]) else others)
    error = unsure(slips, n)
    usual = OWN_TIMES * usual_size(basis, [each.way for each in alike])
    looped = places.looped is not None and not tells
    if looped:  # the few that there are come again and again
        usual = SURE_TIMES * error
    if part.name == MIDDLE:
        share = HELD_SHARE if held else FREE_LOOP_SHARE if looped else FREE_SHARE
    else:
        still = held and len(others) >= LEAST_OTHERS and takes_long(basis, part)
        share = FREE_SHARE if still else END_SHARE
    way = places.home(part.way, part.first)
    found = [Slid(slips[n], part, way, factor * max(share * height, usual), error, places)]
    if tells:
        found += _quick(places, slips[n], part, alike, factor * share * height, error)
    plant = slips[n].plant
    lasts = (plant.last - plant.first) * basis.dt_s >= LEAST_EXACT_S
    if held and lasts and (part.name == MIDDLE or part.last - part.first >= LEAST_STEPS):
        usual = OWN_TIMES * usual_size(basis, [each.exact for each in alike])
        share = EXACT_SHARE if part.name == MIDDLE else EXACT_END_SHARE
        limit = factor * max(share * height, usual, SURE_TIMES * error)
        way = places.home(part.exact, part.first)
        found.append(Slid(slips[n], part, way, limit, error, places))
    return found


def _quick(
    places: Places, slip: Slip, part: Part, alike: list[Part], least: float, error: float
) -> list[Slid]:
    """The longest ways of so short a time, against what the other plants slip in that time."""
    found, factor = [], places.basis.settings.factor("slide")
    for n, quick in enumerate(part.quick):
        ways = [each.quick[n].way for each in alike]
        usual = QUICK_TIMES * usual_size(places.basis, ways)
        piece = replace(part, way=quick.way, first=quick.first, last=quick.last, peak=quick.peak)
        way = places.home(quick.way, quick.first)
        found.append(Slid(slip, piece, way, max(least, factor * usual), error, places))
    return found


def _pushed(places: Places, slip: Slip, part: Part | None = None) -> bool:
    """Whether something from outside was declared to move the foot, in a part or its plant."""
    first, last = (slip.plant.first, slip.plant.last) if part is None else (part.first, part.last)
    return places.declared(slip.plant.body, first, last)
