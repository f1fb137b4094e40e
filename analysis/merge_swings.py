# SPDX-License-Identifier: GPL-3.0-or-later
"""Swings that do not slow at their turns, the even runs that they are made of, and how dead they
begin and end; steps in which the body floats on, and how it sways meanwhile."""

from .basis import Basis
from .merged import NEAR, Merged, one_limb, overlap
from .swing_words import UNIT

RUNS = "straight_run"
# What an even swing does where it leaves a stand, and where it is back in it.
ENDS, ALL_STOP = ("hard_start", "hard_stop", "stop_together"), "stop_together"
FLOATS, SWAYS = "carry", "sway"


def take_runs(basis: Basis, merged: list[Merged], swing: Merged, loop: int) -> None:
    """Let a swing tell the straight, even runs between its turns: of its own body, its limb, what
    it carries, or the hand that turns a prop."""
    if swing.lead.unit != UNIT:
        return
    for old in list(merged):
        runs = old.lead.check == RUNS and overlap(old, swing, loop)
        if (runs or _ends_it(basis, old, swing)) and _moves_it(basis, old, swing):
            swing.members += old.members
            merged.remove(old)


def takes_end(basis: Basis, old: Merged, new: Merged) -> bool:
    """Join how dead a swing ends that was told already; True where it is joined."""
    if old.lead.unit != UNIT or not _ends_it(basis, new, old) or not _moves_it(basis, new, old):
        return False
    old.members += new.members
    return True


def _ends_it(basis: Basis, end: Merged, swing: Merged) -> bool:
    """Whether something starts or stops dead where a swing does: everything stops with the body."""
    if end.lead.check not in ENDS:
        return False
    if end.lead.check == ALL_STOP and swing.owner != basis.lead:
        return False
    side = swing.lead.first if end.lead.check == ENDS[0] else swing.lead.last
    return end.lead.first - NEAR <= side <= end.lead.last + NEAR


def _moves_it(basis: Basis, old: Merged, swing: Merged) -> bool:
    if old.owner is None or swing.owner is None:
        return old.owner == swing.owner or swing.owner == basis.lead
    if old.owner == swing.owner or one_limb(basis, old, swing):
        return True
    if swing.owner in basis.ancestors(old.owner):
        return True
    return swing.owner != basis.lead and old.owner == basis.bodies[swing.owner].parent


def takes_sway(old: Merged, new: Merged, loop: int) -> bool:
    """Join the sway of a stride in which the body floats on; True where it is joined."""
    if (old.lead.check, new.lead.check) != (FLOATS, SWAYS) or old.owner != new.owner:
        return False
    if not overlap(old, new, loop):
        return False
    old.members += new.members
    return True
