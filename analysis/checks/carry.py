# SPDX-License-Identifier: GPL-3.0-or-later
"""`carry`: does the body land where its take-off carries it, and go as far as its leg does?"""

from dataclasses import replace

import numpy as np

from ..ball.pulled import find_pulled, pulled_event
from ..basis import Basis
from ..basis.flights import Flight
from ..basis.mass import NO_COM
from ..carry_flights import BEYOND_SHARE, Carried, drift_of, find_carried
from ..carry_poses import Posed, find_posed
from ..carry_steps import find_stepped, find_steps
from ..evidence import Evidence
from ..flown import SHORTEST_S, Flown
from ..flown_poses import held_flown, is_stepped
from ..flown_shot import flights_of, flown_of
from ..loop import Cycle
from ..looped import Places, lay_out
from ..unjudged_flights import held_text, no_arc_text
from .carry_step_words import step_event, steps_text
from .carry_words import flight_event, good_text, habit_text, pose_event
from .contract import CheckInfo

# A highest pose may lie off its place by this share of the height: 15 cm at 1.7 m (a frame is
# 6 cm of a brisk jump).
POSE_SHARE = 0.15 / 1.7
# What most flights of a shot do, by a like share of their way (within this factor), is its style.
ALIKE = 1.6
LEAST_ALIKE = 3
# A step goes further than its leg carries the body by this share (people's differ by 4 %), and by
# this share of the height (5 cm at 1.7 m).
STEP_BEYOND, STEP_SHARE = 0.12, 0.05 / 1.7
SPACED = (
    "the spacing of a flight is off, so that its middle does not tell its travel: by where it "
    "leaves and lands it goes as far as its take-off carries it"
)
BENT = (
    "the pose that leaves or lands is bent, or something declared moves it: when it is in the air, "
    "and so where its highest pose belongs, is left open"
)
NO_FLIGHT = "nothing leaves the ground in this range"

INFO = CheckInfo(
    name="carry",
    question="Does the body land where its take-off, or its leg, carries it?",
    definition=(
        "In the air the centre of mass keeps its level velocity. In each whole flight of .25 "
        "seconds or more that is one arc it is compared with the velocity that the feet gave it: "
        "that of the last moment on the ground before and of the first one after, by parabolas "
        "over .17 seconds; where two that leave out a frame next to the flight agree on more, a "
        "third more is asked for. How much further, less far or aside it lands is the mean of what "
        "both say, and twice what either says at most, over the time in the air; a flight that is "
        "only spaced wrongly is told by `hang_time`. In stepped blocking "
        "the highest pose must lie at the share of the way from the pose that leaves to the one "
        "that lands at which it comes in time. What three flights or more, and most of a shot's, "
        "do alike is its style; a flight that is pushed in mid-air is told by `push`, of a ball "
        "that stands for the body here: where it ends off what its first half foretells. In a step "
        "of a walk straight on (four in a row or more, on two feet, level) the body goes from over "
        "one foot to over the next by the time, times its speed over both (over each no more than "
        "the fastest of the two feet before and after it), times the arc's share: the largest but "
        "one that the four steps before and after it have."
    ),
    unit="cm",
    limit="14 cm at 1.7 m; a highest pose in blocking 15 cm; a step 12 % beyond its arc and 5 cm",
    limit_in_full=(
        "14 cm at 1.7 m, and as much as noise from frame to frame may seem; a highest pose in "
        "blocking 15 cm; a step 12 % beyond its arc and 5 cm"
    ),
    source=(
        "Newton's first law; the limit from trials on captured, simulated and keyed hops, of "
        "which 95 % agree to 5 cm; the inverted pendulum: Alexander 1976, from memory; steps of "
        "healthy, parkinsonian and hemiparetic walks differ by 4 %"
    ),
    stages=("blocking", "spline", "polish"),
    mend=(
        "Land where the take-off carries the body, or push it off as fast as it is to fly; land a "
        "step nearer, or give it more frames."
    ),
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each flight that goes where nothing carries it, on the body that leads."""
    if basis.com is None:
        return Evidence("carry", skipped=NO_COM)
    if is_stepped(basis):
        return _of_poses(basis)
    flights = _of_flights(basis, cycle)
    return flights if basis.settings.stage == "blocking" else _with_steps(basis, flights)


def _with_steps(basis: Basis, flights: Evidence) -> Evidence:
    """What is said of flights, and of the steps of a walk."""
    steps = find_stepped(basis)
    if not steps:
        few = len(find_steps(basis))
        why = f"{few} steps straight on, and four in a row are compared" if few > 1 else ""
        told = "; ".join(each for each in (flights.skipped, why) if each)
        return replace(flights, skipped=told)
    limit = STEP_BEYOND * basis.settings.factor("carry")
    least = STEP_SHARE * basis.height.scene_m
    floats = [each for each in steps if each.beyond > limit and each.beyond_m > least]
    texts = (flights.good, "" if floats else steps_text(steps))
    return replace(
        flights,
        events=flights.events + tuple(step_event(basis, each, limit) for each in floats),
        good=" ".join(each for each in texts if each),
        skipped="" if flights.skipped == NO_FLIGHT else flights.skipped,
        measures=flights.measures | {"step_beyond_pct": 100.0 * max(s.beyond for s in steps)},
    )


def _of_flights(basis: Basis, cycle: Cycle) -> Evidence:
    places = Places(basis, lay_out(basis, cycle))
    flights = flights_of(places)
    flown = flown_of(places, flights)
    found = find_carried(places.rounds_basis, flown)
    pulled = find_pulled(places.rounds_basis, flown)
    drift = _drift(places.rounds_basis, flown)
    pulls = tuple(pulled_event(places, each) for each in pulled)
    if not found:
        why = "" if pulls else _why_none(places, flights, flown)
        return Evidence("carry", pulls, skipped=why, measures=drift)
    limit = BEYOND_SHARE * basis.height.scene_m * basis.settings.factor("carry")
    beyond = [each for each in found if each.sure_m > limit + each.unsure_m]
    # Where its travel breaks in the air something pushes it there, and `push` tells that, of a
    # ball that it is pulled; where its spacing alone is off, `hang_time`.
    spaced = [each for each in beyond if each.evened_m <= limit + each.unsure_m]
    off = [each for each in beyond if not each.breaks and each not in spaced]
    pulled_flights = [each.flown for each in pulled]
    off = [each for each in off if each.flown not in pulled_flights]
    only_spaced = SPACED if spaced and len(spaced) == len(beyond) else ""
    told = (only_spaced, _why_left(places, flights, flown))
    alike = _are_alike(off, len(found))
    most = max(each.sure_m for each in found) * basis.height.to_story
    told_off = tuple(flight_event(places, each, each.doubt * limit + each.unsure_m) for each in off)
    return Evidence(
        "carry",
        (() if alike else told_off) + pulls,
        good="" if beyond or pulls else good_text(basis, found),
        habit=habit_text(found, off) if alike else "",
        skipped="; ".join(each for each in told if each),
        measures={"carry_off_m": most, **drift},
    )


def _drift(basis: Basis, flown: list[Flown]) -> dict[str, float]:
    """How far flights land off what their first half in the air foretells: thrown ones too."""
    com = basis.com
    if com is None:
        return {}
    off = [
        float(np.linalg.norm(drift_of(com[each.flight.first : each.flight.last + 1, :2])))
        for each in flown
        if each.even
    ]
    return {"air_drift_m": float(np.median(off)) * basis.height.to_story} if off else {}


def _of_poses(basis: Basis) -> Evidence:
    flown = held_flown(basis)
    found = find_posed(basis, flown)
    if not found and flown:
        return Evidence("carry", skipped=BENT)
    if not found:
        return Evidence("carry", skipped=_why_none(Places(basis), list(basis.flights), flown))
    limit = POSE_SHARE * basis.height.scene_m * basis.settings.factor("carry")
    off = [each for each in found if _length(each) > limit]
    return Evidence("carry", tuple(pose_event(basis, each, limit) for each in off))


def _length(posed: Posed) -> float:
    return float(np.linalg.norm(posed.off))


def _are_alike(off: list[Carried], count: int) -> bool:
    """Whether most flights of a shot go further, or less far, by a like share of their way."""
    if len(off) < LEAST_ALIKE or 2 * len(off) <= count:
        return False
    shares = np.array([share_of(each) for each in off])
    same_way = (shares > 0.0).all() or (shares < 0.0).all()
    return bool(same_way and np.abs(shares).max() <= ALIKE * np.abs(shares).min())


def share_of(carried: Carried) -> float:
    """By which share of what it was pushed off with it goes faster along its way."""
    pushed = 0.5 * (carried.before + carried.after)
    speed = float(np.linalg.norm(pushed))
    return float((carried.air - pushed) @ pushed) / max(speed, 1e-9) ** 2


def _why_left(places: Places, flights: list[Flight], flown: list[Flown]) -> str:
    """Why flights are not judged that may well go wrong; empty where there are none."""
    judged = [each for each in flown if each.even]
    return held_text(places, flights) or no_arc_text(places, flights, judged)


def _why_none(places: Places, flights: list[Flight], flown: list[Flown]) -> str:
    basis = places.basis
    if held := held_text(places, flights):
        return held
    if not flights and not flown:
        return NO_FLIGHT
    long = any(flight.samples * basis.dt_s >= SHORTEST_S for flight in basis.flights)
    if not long:
        return "no flight of .25 s or more: in a shorter one the take-off's speed is not told"
    return (
        "no flight that is one arc with .2 s of ground before and after it, outside declared events"
    )
