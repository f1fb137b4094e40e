# SPDX-License-Identifier: GPL-3.0-or-later
"""Swings that do not slow at their turns, and the even runs that they are made of."""

from .basis import Basis
from .merged import Merged, one_limb, overlap
from .swing_words import UNIT

RUNS = "straight_run"


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
