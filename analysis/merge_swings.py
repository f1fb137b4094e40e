# SPDX-License-Identifier: GPL-3.0-or-later
"""Swings that do not slow at their turns, and the even runs that they are made of; steps in which
the body floats on, and how it sways meanwhile."""

from .basis import Basis
from .merged import Merged, one_limb, overlap
from .swing_words import UNIT

RUNS = "straight_run"
FLOATS, SWAYS = "carry", "sway"


def take_runs(basis: Basis, merged: list[Merged], swing: Merged, loop: int) -> None:
    """Let a swing tell the straight, even runs between its turns: of its own body, its limb, what
    it carries, or the hand that turns a prop."""
    if swing.lead.unit != UNIT:
        return
    for old in [each for each in merged if each.lead.check == RUNS]:
        if overlap(old, swing, loop) and _moves_it(basis, old, swing):
            swing.members += old.members
            merged.remove(old)


def _moves_it(basis: Basis, old: Merged, swing: Merged) -> bool:
    if old.owner is None or swing.owner is None:
        return old.owner == swing.owner
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
