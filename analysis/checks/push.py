# SPDX-License-Identifier: GPL-3.0-or-later
"""`push`: does the body move as if somebody pushed or pulled it?"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..air_shoves import find_air_shoves, long_enough
from ..basis import Basis
from ..basis.contacts import runs
from ..basis.mass import NO_COM
from ..event_forces import event_forces, heeded, reached, strongest, whole
from ..evidence import Evidence, RawEvent
from ..flight_ends import USUAL, FlightEnds, flight_ends
from ..great_shoves import find_great
from ..jolts import find_jolts
from ..loop import Cycle
from ..outside_force import OutsideForce, on_hands, outside_force
from ..shoves import Shove, find_shoves
from ..why_left import why_left
from ..words import frames_text
from .contract import CheckInfo
from .push_advice import in_air as in_air_advice
from .push_advice import on_ground as on_ground_advice
from .push_words import (
    HABIT,
    given_text,
    good_text,
    habit_text,
    push_event,
    why_partly,
    why_untold,
)

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Fewer frames a second than this have no sudden changes; shorter ranges no beside.
LEAST_RATE, SHORTEST_S = 20.0, 0.6
# From so many body weights on that are left, all is not well where nothing is blamed.
UNTOLD = 0.3

INFO = CheckInfo(
    name="push",
    question="Does the body move as if somebody pushed or pulled it?",
    definition=(
        "How the centre of mass speeds up or slows, over a fifth of a second, and its weight tell "
        "what force moves the body. What touches can only press, sideways by .9 of what presses, "
        "and only from where it touches (joints, tips and soles within .1 s, 3 cm around); what "
        "swings the limbs is counted. The rest, which is left over, needs another hand. Where it "
        "comes and goes within a quarter of a second and stands alone in the shot, it is a push; "
        "so it is where a body on both feet darts and stops, and where it is so great that nobody "
        "does it to himself. In the air it is a break in the level speed of the centre of mass."
    ),
    unit="body weights",
    limit=".08 body weights of one who falls, .16 of others, .34 m/s in the air",
    limit_in_full=(
        "the rest is counted by how much more it is than an eighth of a second before and after, "
        "on two frames; a body that falls: .08 body weights, and .6 of the largest rest elsewhere "
        "(.35 to 4 s away), and what its limbs are swung with beyond .3; one that does not fall, "
        "or plays in a loop: .16, times what its feet press with if more than 1, and the largest "
        "rest elsewhere, and .3 of what its limbs are swung with; both: as much more as is left "
        "the other way within .35 s (who moves himself stops himself); a body that rises and no "
        "longer presses is not asked; within .35 s of a flight: .75 at least, as clean push-offs "
        "and landings leave that much; a body on both feet that darts and stops: .25, and 1.5 "
        "times the largest rest elsewhere; whatever stops it: 2.7, and 3.4 times what its limbs "
        "are swung with; a body falls that sinks by 8.5 cm/s or more, or is 10 cm outside of what "
        "bears it, on less than its weight, with its centre of mass 31 cm over that; in the air: "
        ".34 m/s at 1.7 m (.45 where a parabola follows it as well), and five times what the fit "
        "is unsure of, in flights of 9 frames and .28 s; four pushes or more in a shot are its "
        "style"
    ),
    source=(
        "Newton's second law; centre of pressure: Vukobratovic & Borovac 2004, Int J Humanoid "
        "Robotics 1:157-173 (from memory); limits from simulated falls, captured and keyed motion"
    ),
    stages=("spline", "polish"),
    mend="Spread the change over more frames, let a foot step into it, or declare what pushes.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each push, on the body that leads; four or more are the shot's style."""
    why = _why_not(basis)
    forces = None if why else outside_force(basis)
    if forces is None:
        return Evidence("push", skipped=why or NO_COM)
    outside, ends = reached(basis), flight_ends(basis)
    usual = np.where(ends.near, USUAL * basis.settings.factor("push"), 0.0)
    on_ground = _on_ground(basis, forces, outside, usual, loops=cycle.plays)
    in_air = find_air_shoves(basis, reached(basis, smeared_s=0.0))
    size = np.where(outside, 0.0, forces.size)
    measures = {"push_peak_bw": float(max([size.max(), *(each.size for each in in_air)]))}
    given = event_forces(basis, forces)
    measures |= strongest(given)
    skipped = _why_part(basis, forces)
    bare = Evidence("push", skipped=skipped, measures=measures, declared=given_text(given))
    events = _told(basis, forces, ends, on_ground, in_air)
    if len(events) >= HABIT:
        found = sorted((*on_ground, *in_air), key=lambda shove: shove.peak)
        return replace(bare, habit=habit_text(basis, found))
    if events:
        return replace(bare, events=events)
    left = np.where(size >= np.maximum(usual, UNTOLD), size, 0.0)
    if left.any():
        most = int(np.argmax(left))
        reasons = why_left(basis, forces, size, usual, most)
        return replace(bare, skipped=skipped or why_untold(basis, most, float(size[most]), reasons))
    judged = bool(forces.judged.any())
    return replace(bare, good=good_text(float(size.max()), _apart(basis, forces)) if judged else "")


def _told(
    basis: Basis,
    forces: OutsideForce,
    ends: FlightEnds,
    on_ground: Sequence[Shove],
    in_air: Sequence[Shove],
) -> tuple[RawEvent, ...]:
    """All pushes as events, in time's order."""
    ground = [(each, on_ground_advice(basis, forces, ends, each), False) for each in on_ground]
    air = [(each, in_air_advice(basis, each), True) for each in in_air]
    events = [push_event(basis, each, does, in_air=flies) for each, does, flies in (*ground, *air)]
    return tuple(sorted(events, key=lambda event: event.peak))


def _on_ground(
    basis: Basis, forces: OutsideForce, outside: Bools, usual: Floats, *, loops: bool
) -> tuple[Shove, ...]:
    """All pushes on a body that something bears, but for what push-offs and landings leave."""
    found = _once(
        find_great(basis, forces, outside),
        _once(
            find_jolts(basis, forces, outside),
            find_shoves(basis, forces, outside, loops=loops),
        ),
    )
    left = [each for each in found if each.size > usual[each.peak]]
    return tuple(whole(basis, forces, each) for each in left)


def _once(first: tuple[Shove, ...], others: tuple[Shove, ...]) -> tuple[Shove, ...]:
    """The first ones, and those others that are no part of one of them."""
    alone = [
        each for each in others if all(each.last < f.first or each.first > f.last for f in first)
    ]
    return (*first, *alone)


def _why_not(basis: Basis) -> str:
    """Why nothing can be told of a figure; empty where something can."""
    if basis.com is None:
        return NO_COM
    if basis.height.why_no_scale:
        return basis.height.why_no_scale
    if basis.dt_s * LEAST_RATE > 1.0 + 1e-9:
        return "poses change fewer than 20 times a second: no sudden change is told from that"
    if basis.dt_s * (len(basis.frames) - 1) < SHORTEST_S:
        return "the range is shorter than .6 s, and a push is told from what lies beside it"
    return ""


def _apart(basis: Basis, forces: OutsideForce) -> list[str]:
    """`frames 12 to 20`, on which nothing is seen to bear the figure, those of declared events, and
    those on which a foot stays that must slip; empty: there are none."""
    held = [flight for flight in basis.flights if flight.held]
    ends = [(float(basis.frames[each.first]), float(basis.frames[each.last])) for each in held]
    declared = [f"the declared {frames_text(*event.frames)}" for event in heeded(basis)]
    slips = [(float(basis.frames[a]), float(basis.frames[b])) for a, b in runs(forces.pinned)]
    feet = [f"{frames_text(*each)}, where a foot would slip," for each in slips]
    return [*(frames_text(*each) for each in ends), *dict.fromkeys(declared), *feet]


def _why_part(basis: Basis, forces: OutsideForce) -> str:
    """What could not be judged that may well hide a push; empty where all could."""
    held = [flight for flight in basis.flights if flight.held]
    unsure = np.asarray(basis.touch_points.holds.any(axis=1))
    short = [flight for flight in basis.flights if flight.judged and not long_enough(basis, flight)]
    nothing = not forces.judged.any()
    hands = on_hands(basis)
    return why_partly(basis, held, unsure, hands, nothing=nothing, short=bool(short))
