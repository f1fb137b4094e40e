# SPDX-License-Identifier: GPL-3.0-or-later
"""Events after merging, and how two of them lie to each other."""

from dataclasses import dataclass, field

from .basis import Basis
from .evidence import RawEvent
from .parts import limb_of

# Events that lie this many samples apart, or nearer, are one moment.
TOGETHER = 1
# Two checks speak of one event when their samples are this near: a seam's differences reach
# so far.
NEAR = 4
# What a path does at one moment, by several checks: the first of these tells it. What sticks and
# catches up turns late, stops, starts and leaves its path as well; so does a stuck turn, and a
# dead stop jumps. A pop beside the seam makes the loop jolt: that is heard last; what stands dead
# for long may come to it in a dead stop: that is heard first.
PATHS = ("hitch", "stuck_turn", "hard_stop", "hard_start", "pop", "straight_run")
# A leg that locks or snaps jerks its joints and its foot: heard before that, the first of these.
LIMBS = ("overreach", "locked_knee", "knee_pop")
# A trunk that breaks throws all above the joint.
BREAK = "torso_break"
# A pop of one frame makes a seam beside it look broken by twice its size, or a little more.
EXPLAINED = 3.0


@dataclass(eq=False)
class Merged:
    """One event after merging: who is to mend it, the clearest view of it, and the rest."""

    owner: int | None
    lead: RawEvent
    members: list[RawEvent] = field(default_factory=list)


def length(merged: Merged) -> int:
    """Samples from the first to the last."""
    return merged.lead.last - merged.lead.first


def one_limb(basis: Basis, old: Merged, new: Merged) -> bool:
    """Whether both are of one leg or one arm."""
    parts = [basis.bodies[each.owner].part for each in (old, new) if each.owner is not None]
    return set(parts) <= set(limb_of(parts[0] or ""))


def clearness(merged: Merged) -> float:
    """How far an event is over its limit."""
    return merged.lead.amount / max(merged.lead.limit, 1e-12)


def is_larger(new: Merged, old: Merged) -> bool:
    """Whether it is so much larger that the other is only a part of it."""
    return new.lead.visible_m > EXPLAINED * old.lead.visible_m


def overlap(old: Merged, new: Merged, loop: int) -> bool:
    """Whether two events share a sample, or lie next to each other; a loop's ends do."""
    return any(
        new.lead.first + shift <= old.lead.last + TOGETHER
        and old.lead.first - TOGETHER <= new.lead.last + shift
        for shift in ((0, -loop, loop) if loop else (0,))
    )


def near(old: Merged, new: Merged, loop: int) -> bool:
    """Whether the peak of one lies near the samples of the other."""
    rounds = (0, -loop, loop) if loop else (0,)
    peaks = [new.lead.peak + shift for shift in rounds]
    return any(old.lead.first - NEAR <= peak <= old.lead.last + NEAR for peak in peaks)


def same(old: Merged, new: Merged) -> bool:
    """Whether both are one body's, or both the whole figure's.

    A double frame is nobody's, and what is no body of the figure (the camera) is apart; so is what
    holds for all of the shot from what happens at one moment.
    """
    if old.lead.part != new.lead.part or old.lead.throughout != new.lead.throughout:
        return False
    return old.owner == new.owner and (old.owner is not None or old.lead.body is not None)
