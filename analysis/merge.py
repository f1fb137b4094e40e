# SPDX-License-Identifier: GPL-3.0-or-later
"""One event, one finding: events of one check at one moment, then events of several checks."""

from collections.abc import Sequence

from .basis import Basis
from .evidence import Evidence, RawEvent
from .merge_alike import join_alike
from .merge_arms import join_arms
from .merge_feet import (
    is_by_itself,
    leaves_landing,
    take_standing,
    take_sunk_legs,
    takes_landing,
)
from .merge_flights import take_bends, take_reaches, takes_flight
from .merge_hips import join_legs, take_lifted
from .merge_limbs import take_snaps, take_thrown, takes_limb
from .merge_push import PUSH, take_pushed, takes_push
from .merge_swings import take_runs, takes_end, takes_sway
from .merged import (
    BREAK,
    LIMBS,
    NEAR,
    PATHS,
    TOGETHER,
    Merged,
    clearness,
    is_larger,
    length,
    near,
    one_limb,
    overlap,
    same,
)
from .moment import Moment
from .parts import limb_of

_HEARD = {check: place - len(PATHS) for place, check in enumerate(PATHS)}
_HEARD |= {"frozen": -len(PATHS) - 1, "loop_seam": 1}
# A trunk that breaks throws all above the joint at either end of the break: heard before that.
_HEARD[BREAK] = -len(PATHS) - 2
_HEARD |= {check: place - 2 * len(PATHS) for place, check in enumerate(LIMBS)}
# A foot that slams down jerks its leg, if it does not lock it: heard between these.
_HEARD["stomp"] = -len(PATHS) - 3
# A push says least of where the fault lies: heard last.
_HEARD[PUSH] = 2
# Where everything stops at once and dead, the dead stop of the trunk tells it; that of a limb is
# told by the stop of all.
DEAD, TOGETHER_STOP = "hard_stop", "stop_together"
# But another tells it where it is so many times clearer, each against its own limit: what jumps
# ahead and then stands has stopped dead. What sticks and catches up is nothing else.
CLEARER = 3.0
# How a prop is seen, and how it hangs on the arm, is nothing that its path does at one moment; but
# a hand that is stuck on its forearm while the prop is stiff is that.
APART = ("edge_on", "stiff_prop")


def merge(basis: Basis, evidence: Sequence[Evidence], *, loop: int = 0) -> list[Merged]:
    """Merge the events of each check (see `moment`), then those that are one event.

    loop   samples of a loop, whose last and first are neighbours; 0 where the range is none
    """
    merged: list[Merged] = []
    for found in sorted(evidence, key=lambda each: _HEARD.get(each.check, 0)):
        for moment in moments(found.events):
            for each in _merge_moment(basis, found, moment):
                take_bends(basis, merged, each, loop)
                take_reaches(basis, merged, each)
                _take_stuck(basis, merged, each, loop)
                take_runs(basis, merged, each, loop)
                _take_limbs(basis, merged, each)
                take_snaps(basis, merged, each, loop)
                take_thrown(basis, merged, each, loop)
                take_sunk_legs(basis, merged, each)
                take_standing(basis, merged, each, loop)
                if not _absorbed(basis, merged, each, loop):
                    merged.append(each)
    take_lifted(basis, merged)
    join_legs(basis, merged, loop)
    join_arms(basis, merged)
    join_alike(basis, merged)
    take_pushed(basis, merged)
    return merged


def moments(events: Sequence[RawEvent]) -> list[list[RawEvent]]:
    """Events in groups that lie together in time, in time's order."""
    found: list[list[RawEvent]] = []
    last = 0
    for event in sorted(events, key=lambda e: (e.first, e.last)):
        if found and event.first <= last + TOGETHER:
            found[-1].append(event)
            last = max(last, event.last)
        else:
            found.append([event])
            last = event.last
    return found


def _merge_moment(basis: Basis, found: Evidence, events: list[RawEvent]) -> list[Merged]:
    if found.own is None:
        return [Merged(event.body, event, [event]) for event in events]
    moment = Moment(basis, found.own, events)
    groups: dict[int | None, list[RawEvent]] = {}
    for event, owner in moment.owners().items():
        groups.setdefault(owner, []).append(event)
    return [Merged(owner, moment.lead(owner, group), group) for owner, group in groups.items()]


def _absorbed(basis: Basis, merged: list[Merged], new: Merged, loop: int) -> bool:
    """Join an event that another check has already told: same moment, same body to mend.

    What is much larger and lasts much longer than what was told (a flight or a plant around a
    pop) is an event of its own.
    """
    for old in merged:
        apart = {old.lead.check, new.lead.check} & set(APART)
        if apart or leaves_landing(old, new) or is_by_itself(old, new):
            continue
        if any(tells(basis, old, new) for tells in (_is_thrown, _stops_dead, _strays)):
            old.members += new.members
            return True
        if takes_flight(old, new):
            return True
        if takes_limb(basis, old, new) or takes_landing(basis, old, new):
            return True
        if takes_push(basis, old, new, loop) or takes_sway(old, new, loop):
            return True
        if takes_end(basis, old, new):
            return True
        if _is_seen_again(basis, old, new, loop):
            if not _catches_up(old) and clearness(new) >= CLEARER * clearness(old):
                old.lead, old.owner = new.lead, new.owner
            old.members += new.members
            return True
        if old.lead.check != new.lead.check and near(old, new, loop) and same(old, new):
            if is_larger(new, old):
                if length(new) > length(old) + 2 * NEAR:
                    continue
                old.lead = new.lead
            old.members += new.members
            return True
    return False


def _take_limbs(basis: Basis, merged: list[Merged], stop: Merged) -> None:
    """Let a stop of everything tell the dead stops of limbs in it."""
    if stop.lead.check != TOGETHER_STOP:
        return
    for old in [each for each in merged if each.lead.check == DEAD and near(each, stop, 0)]:
        if old.owner is not None and limb_of(basis.bodies[old.owner].part or ""):
            stop.members += old.members
            merged.remove(old)


def _stops_dead(basis: Basis, old: Merged, new: Merged) -> bool:
    """Whether a stop of everything is one that the body, or its trunk, is known to stop dead in."""
    if new.lead.check != TOGETHER_STOP or old.lead.check != DEAD or not near(old, new, 0):
        return False
    return old.owner is None or not limb_of(basis.bodies[old.owner].part or "")


def _take_stuck(basis: Basis, merged: list[Merged], stiff: Merged, loop: int) -> None:
    """Let a stiff prop tell that the hand that holds it is stuck on its forearm."""
    if stiff.lead.check != "stiff_prop" or stiff.owner is None:
        return
    arm = {stiff.owner, basis.bodies[stiff.owner].parent}
    for old in [each for each in merged if each.lead.check == "stuck_turn"]:
        if old.owner in arm and overlap(old, stiff, loop):
            stiff.members += old.members
            merged.remove(old)


def _is_seen_again(basis: Basis, old: Merged, new: Merged, loop: int) -> bool:
    """Whether a path check only sees what another has told: at the same moment, on the same
    limb, or on what the body that is to mend carries."""
    checks = (old.lead.check, new.lead.check)
    if checks[0] == checks[1] or not set(checks) <= set(PATHS) or old.owner is None:
        return False
    if not overlap(old, new, loop):
        return False
    if new.owner is None:
        return old.owner == basis.lead
    return one_limb(basis, old, new) or old.owner in (new.owner, *basis.ancestors(new.owner))


def _is_thrown(basis: Basis, old: Merged, new: Merged) -> bool:
    """Whether a path check sees what the trunk's break does, as it comes or goes, to the joint or
    to what that carries."""
    if old.lead.check != BREAK or new.lead.check not in PATHS or new.owner is None:
        return False
    edges = (old.lead.first, old.lead.last)
    near = [new.lead.first - NEAR <= edge <= new.lead.last + NEAR for edge in edges]
    return any(near) and old.owner in (new.owner, *basis.ancestors(new.owner))


def _strays(basis: Basis, old: Merged, new: Merged) -> bool:
    """Whether a key off its arc is the stray key that a pop has told, on what that moves."""
    if old.lead.check != "pop" or new.lead.check != "off_arc" or new.owner is None:
        return False
    first, last = old.lead.first - TOGETHER, old.lead.last + TOGETHER
    moved = old.owner is None or old.owner in (new.owner, *basis.ancestors(new.owner))
    return moved and first <= new.lead.peak <= last


def _catches_up(merged: Merged) -> bool:
    """Whether it is a hitch that is furthest behind at its end; else it jumps ahead and waits."""
    lead = merged.lead
    return lead.check == "hitch" and lead.peak == lead.last
