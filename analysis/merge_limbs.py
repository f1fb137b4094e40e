# SPDX-License-Identifier: GPL-3.0-or-later
"""Legs and arms that lock, snap or overreach, and what other checks see of that: one finding."""

from .basis import Basis
from .merged import (
    BREAK,
    LIMBS,
    NEAR,
    PATHS,
    Merged,
    clearness,
    is_larger,
    length,
    near,
    one_limb,
    overlap,
)
from .parts import split_part

# Where a foot's control takes it that its leg does not reach, or drags after: over the floor,
# or under it.
FEET = ("slide", "sink", "stomp")
# What bends, and what hangs on it from its end.
JOINTS = ("thigh", "shin", "upper_arm", "forearm")
# A slip that is so far over its limit, and fastest before the leg locks, is what locks it.
CLEAR_SLIP = 2.0


def takes_limb(basis: Basis, old: Merged, new: Merged) -> bool:
    """Join what another check sees of a limb's lock or snap (`old`); True where it is joined.

    What the limb's joints do as it comes or goes, or what takes it there, is one event with it,
    and so is where its foot is dragged or pulled under the floor meanwhile. Where the limb only
    gives way to what is much larger (a hand that pops, its arm stretching after it), that tells it,
    and so does a foot that slips away until its leg locks.
    """
    if not _is_jerked(basis, old, new):
        return False
    stretches = old.lead.check == new.lead.check == "overreach"
    larger = stretches and new.lead.visible_m > old.lead.visible_m
    if larger or _slips_away(old, new):
        old.lead, old.owner = new.lead, new.owner
    elif new.lead.check in PATHS and not _bends(basis, new) and is_larger(new, old):
        if length(old) > length(new) + 2 * NEAR:
            return False
        old.lead, old.owner = new.lead, new.owner
    old.members += new.members
    return True


def _slips_away(old: Merged, slide: Merged) -> bool:
    """Whether the foot has slipped before its leg is at its reach; one that is dragged does so
    after that."""
    if slide.lead.check != "slide" or clearness(slide) < CLEAR_SLIP:
        return False
    return slide.lead.peak < old.lead.first


def _bends(basis: Basis, new: Merged) -> bool:
    """Whether it is how a joint stands still and catches up between what it joins: a lock does."""
    kind = split_part(basis.bodies[new.owner].part or "")[0] if new.owner is not None else ""
    return new.lead.check in ("hitch", "stuck_turn") and kind in JOINTS


def take_snaps(basis: Basis, merged: list[Merged], new: Merged, loop: int) -> None:
    """Let a jerk of the body tell the snaps of the limbs that hang on it and give way."""
    if new.lead.check not in PATHS:
        return
    for old in [each for each in merged if each.lead.check in LIMBS and length(each) <= NEAR]:
        carried = old.owner is not None and (
            new.owner is None or new.owner in basis.ancestors(old.owner)
        )
        # A knee is foretold from the frames beside it: a jerk among those snaps it as well.
        beside = overlap(old, new, loop) or (old.lead.check == "knee_pop" and near(old, new, loop))
        if carried and beside and not one_limb(basis, old, new):
            new.members += old.members
            merged.remove(old)


def take_thrown(basis: Basis, merged: list[Merged], broken: Merged, loop: int) -> None:
    """Let a break of the trunk tell that the arms above it do not reach meanwhile."""
    if broken.lead.check != BREAK:
        return
    for old in [each for each in merged if each.lead.check in LIMBS]:
        above = old.owner is not None and broken.owner in basis.ancestors(old.owner)
        if above and overlap(old, broken, loop) and not is_larger(old, broken):
            broken.members += old.members
            merged.remove(old)


def _is_jerked(basis: Basis, old: Merged, new: Merged) -> bool:
    if old.lead.check not in LIMBS or None in (old.owner, new.owner):
        return False
    if new.lead.check not in (*PATHS, *LIMBS, *FEET) or not one_limb(basis, old, new):
        return False
    edges = (old.lead.first, old.lead.last)
    if new.lead.check in (*LIMBS, *FEET):
        return new.lead.first <= edges[1] + NEAR and edges[0] - NEAR <= new.lead.last
    return any(new.lead.first - NEAR <= edge <= new.lead.last + NEAR for edge in edges)
