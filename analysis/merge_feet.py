# SPDX-License-Identifier: GPL-3.0-or-later
"""Feet that land too fast or go under the floor, and what other checks see of their legs."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .evidence import RawEvent
from .hips_down import behind_at
from .limbs import find_limbs
from .merged import LIMBS, NEAR, PATHS, Merged, length, one_limb, overlap
from .parts import LEG, split_part
from .words import frame_text, size_text

Floats = NDArray[np.float64]

# What a path does as a foot slams down; a foot that sticks, and so comes down late, tells it.
_SLAMMED = tuple(check for check in PATHS if check != "hitch")
# What a foot that stands is thought to do: it keeps its orientation, and its place.
_STANDING = ("stuck_turn", "hitch")
# A goal that is off by this share of it downwards has sunk; else the leg is pulled elsewhere.
DOWNWARDS = 0.7
# A foot is on its way down to where it sinks, and up again, for so long: there its leg may lock.
WAY_S = 0.3
# A foot that sinks, or slips, without the other for half of its time, or more, does it by itself.
ALONE_SHARE = 0.5


def takes_landing(basis: Basis, old: Merged, new: Merged) -> bool:
    """Join what a leg's path does as its foot slams down; True where it is joined.

    The frames after the landing are where the foot belongs: what is off there only shows where it
    was before. A stray key just before it is what makes it slam, and so is a foot that sticks.
    """
    if old.lead.check != "stomp" or new.lead.check not in PATHS:
        return False
    touches = old.lead.last
    at_once = old.lead.first - NEAR <= new.lead.last and new.lead.first <= touches + 1
    if not at_once or not one_limb(basis, old, new) or new.owner is None:
        return False
    stray = new.lead.check == "pop" and new.lead.last < touches
    if stray or new.lead.check not in _SLAMMED:
        old.lead, old.owner = new.lead, new.owner
    old.members += new.members
    return True


def leaves_landing(old: Merged, new: Merged) -> bool:
    """Whether a stray key comes when the foot that slams has long landed: an event of its own."""
    if {old.lead.check, new.lead.check} != {"stomp", "pop"}:
        return False
    stomp, pop = (old, new) if old.lead.check == "stomp" else (new, old)
    return pop.lead.first > stomp.lead.last + 1


def is_by_itself(old: Merged, new: Merged) -> bool:
    """Whether a foot is under the floor for long while it does not slip, or slips for long while
    it is not: two faults, of which one is mended upwards and one along the floor."""
    if {old.lead.check, new.lead.check} != {"sink", "slide"}:
        return False
    ends = min(old.lead.last, new.lead.last) - max(old.lead.first, new.lead.first)
    both = max(ends + 1, 0)
    longer = max(length(old), length(new)) + 1
    return both <= ALONE_SHARE * longer


def take_sunk_legs(basis: Basis, merged: list[Merged], sink: Merged) -> None:
    """Let a foot that sinks tell what its leg does at either end of that.

    What covers the sink by itself (a stray key that takes the foot under the floor) tells it. A
    foot that is keyed too low comes down faster as well: it is not to be lower even earlier.
    """
    if sink.lead.check != "sink":
        return
    for old in [each for each in merged if _of_leg(basis, each, sink)]:
        if old.lead.check == "stomp":
            if not _lands_under(old, sink):
                continue
        elif old.lead.check in LIMBS:
            if not _meets(basis, old, sink) or not _reaches_down(basis, old):
                continue
            sink.lead = _with_the_goal(basis, sink.lead, old.members)
        elif not _at_an_end(old, sink):
            continue
        sink.members += old.members
        merged.remove(old)


def take_standing(basis: Basis, merged: list[Merged], slide: Merged, loop: int = 0) -> None:
    """Let feet that slip tell that they keep their orientation meanwhile, as what stands does,
    and that they stand dead, and catch up as they slip.

    Over ground that goes along no foot rests but one that stands: where the feet disagree on it
    all along, this is so in all plants of both.
    """
    if slide.lead.check != "slide" or slide.owner is None:
        return
    for old in [each for each in merged if each.lead.check in _STANDING]:
        for member in old.members:
            foot = _foot_of(basis, member)
            if foot is None or not _stands(basis, foot, member.first, member.peak):
                continue
            ours = slide.owner in (basis.lead, foot, *basis.ancestors(foot))
            at_once = ours and overlap(old, slide, loop)
            if slide.lead.throughout and member.check == "stuck_turn":
                at_once = True
            if at_once and (member.check != "hitch" or _slips_it(member, slide.lead)):
                slide.members += old.members
                merged.remove(old)
                break


def _slips_it(hitch: RawEvent, slide: RawEvent) -> bool:
    """Whether a slip at one moment is all that a foot which stands is thought to catch up."""
    return not slide.throughout and slide.visible_m >= hitch.visible_m


def _foot_of(basis: Basis, event: RawEvent) -> int | None:
    """The foot that an event is about, by itself or by its toes."""
    if event.body is None:
        return None
    kind, side = split_part(basis.bodies[event.body].part or "")
    return basis.body(f"foot.{side}") if kind in ("foot", "toe") else None


def _stands(basis: Basis, foot: int, first: int, last: int) -> bool:
    """Whether a foot is planted for half of some samples or more, or on the last of them."""
    planted = [p for p in basis.plants if p.body == foot]
    inside = sum(max(min(p.last, last) - max(p.first, first) + 1, 0) for p in planted)
    lands = any(p.first <= last <= p.last for p in planted)
    return lands or 2 * inside >= last - first + 1


def _of_leg(basis: Basis, old: Merged, sink: Merged) -> bool:
    """Whether it is what a leg of the feet that sink does, itself or by what carries it."""
    if old.lead.check not in (*PATHS, *LIMBS, "stomp") or old.owner is None or sink.owner is None:
        return False
    shown = basis.bodies[old.owner if old.lead.body is None else old.lead.body].part or ""
    carried = old.owner in basis.ancestors(sink.owner)
    if sink.owner == basis.lead or carried:  # both feet, or what shows it on this one's leg
        side = None if sink.owner == basis.lead else _side(basis, sink.owner)
        return split_part(shown)[0] in LEG and side in (None, split_part(shown)[1])
    return one_limb(basis, old, sink)


def _side(basis: Basis, body: int) -> str:
    return split_part(basis.bodies[body].part or "")[1]


def _meets(basis: Basis, old: Merged, sink: Merged) -> bool:
    near = max(round(WAY_S / basis.dt_s), NEAR)
    first, last = sink.lead.first - near, sink.lead.last + near
    return old.lead.first <= last and first <= old.lead.last


def _lands_under(stomp: Merged, sink: Merged) -> bool:
    """Whether a foot that slams down goes under what it lands on: it only comes down further."""
    return sink.lead.first - NEAR <= stomp.lead.last <= sink.lead.last


def _at_an_end(old: Merged, sink: Merged) -> bool:
    """Whether it comes or goes as the foot does, and is not all of that."""
    ends, edges = (old.lead.first, old.lead.last), (sink.lead.first, sink.lead.last)
    if old.lead.check == "pop" and ends[0] <= edges[0] and edges[1] <= ends[1]:
        return False
    if old.lead.check == "hitch" and old.owner == sink.owner:
        return False  # the foot itself sticks, and so it comes up late
    if old.lead.check == "stuck_turn":
        return any(abs(end - edge) <= NEAR for end in ends for edge in edges)
    return any(ends[0] - NEAR <= edge <= ends[1] + NEAR for edge in edges)


def _reaches_down(basis: Basis, limb: Merged) -> bool:
    """Whether a leg is at its reach because its foot is wanted lower, as far as that is known."""
    gaps = [_gap(basis, each) for each in limb.members if each.check == "overreach"]
    return all(-gap[2] >= DOWNWARDS * np.linalg.norm(gap) for gap in gaps)


def _with_the_goal(basis: Basis, sink: RawEvent, members: list[RawEvent]) -> RawEvent:
    """Advice that raises the foot's control from where that is: below a foot that stays behind."""
    gaps = [each for each in members if each.check == "overreach"]
    advice = sink.suggestion
    if not gaps or advice is None or advice.offset is None:
        return sink
    up, gap = max(((_depth(basis, each), each) for each in gaps), key=lambda pair: pair[0])
    if up <= advice.offset[2]:
        return sink
    ends = (min(sink.first, gap.first), max(sink.last, gap.last))
    first, last = (frame_text(basis.frames[at]) for at in ends)
    text = (
        f"Raise the foot's control by {size_text(up * basis.height.to_story)} from frame {first} "
        f"to {last}: it lies deeper than the leg reaches."
    )
    advice = replace(advice, text=text, offset=np.array([0.0, 0.0, up]))
    says = sink.says
    if ends != (sink.first, sink.last):
        says += f" Its control lies too deep from frame {first} to {last}."
    return replace(sink, first=ends[0], last=ends[1], says=says, suggestion=advice)


def _gap(basis: Basis, event: RawEvent) -> Floats:
    """(3,) metres from a foot to where its control wants it at an event's peak; 0 if not known."""
    for leg in find_limbs(basis):
        if event.body in (leg.lower, leg.end):
            return behind_at(basis, leg, event.peak)
    return np.zeros(3)


def _depth(basis: Basis, event: RawEvent) -> float:
    """How far under what bears it the sole of a foot is wanted, at an event's peak, metres."""
    for soles in basis.soles:
        if soles.sole.body == event.body:
            return float(-soles.clearance[event.peak].min() - _gap(basis, event)[2])
    return 0.0
