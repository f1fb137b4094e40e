# SPDX-License-Identifier: GPL-3.0-or-later
"""A push among what other checks see at its moment.

It says least of where the fault lies, so that it is heard last: what jumps, sticks, stops, starts
or slides with hips and chest, a wrong flight, a seam, a double frame tell it. What it does to the
rest of the body it tells itself: a head that is thrown, a limb that lags.
"""

from .basis import Basis
from .evidence import RawEvent
from .merged import NEAR, PATHS, Merged, near, overlap
from .parts import split_part

PUSH = "push"
# What carries the body: what happens to it there moves the centre of mass.
_CARRIERS = ("mover", "root", "pelvis", "spine", "chest")
# What the other checks see of it lasts as long as they see it, not as long as the push.
_LONG = ("gravity", "hang_time", "carry", "balance", "slide", "frozen")


def takes_push(basis: Basis, old: Merged, new: Merged, loop: int) -> bool:
    """Let an event that moves the whole body tell the push that it looks like."""
    if new.lead.check != PUSH or old.lead.throughout or not _moves_body(basis, old):
        return False
    if not (near(old, new, loop) or (old.lead.check in _LONG and overlap(old, new, loop))):
        return False
    old.members += new.members
    return True


def take_pushed(basis: Basis, merged: list[Merged]) -> None:
    """Let a push, and what tells it, tell what head and limbs do at its moment, where nothing else
    told that."""
    for told in list(merged):
        pushes = [each for each in told.members if each.check == PUSH]
        if not pushes or told not in merged:
            continue
        for old in [each for each in merged if each.lead.check in PATHS and each is not told]:
            thrown = any(_throws(push, old.lead) for push in pushes)
            if thrown and not _moves_body(basis, old):
                told.members += old.members
                merged.remove(old)


def _throws(push: RawEvent, limb: RawEvent) -> bool:
    """Whether what a push does to the rest of the body is seen there: a limb jumps as it comes, or
    lags and hangs as it has gone."""
    first, last = push.first - NEAR // 2, push.last + NEAR // 2
    return first <= limb.peak <= last or first <= limb.first <= push.last + NEAR


def _moves_body(basis: Basis, old: Merged) -> bool:
    """Whether an event is the whole figure's, or of what carries it."""
    if old.lead.part is not None:
        return False
    if old.owner is None or old.owner == basis.lead:
        return True
    return split_part(basis.bodies[old.owner].part or "")[0] in _CARRIERS
