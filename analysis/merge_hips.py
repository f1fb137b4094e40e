# SPDX-License-Identifier: GPL-3.0-or-later
"""Both legs at their reach at one moment are one finding of the hips, which lift them off."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from .basis import Basis
from .evidence import RawEvent, Suggestion
from .hips_down import hips_drop, stands
from .limbs import Limb, find_limbs
from .merged import LIMBS, Merged, overlap
from .words import frames_text, over_frames, size_text

# What tells it best, the first of these.
_TOLD = {check: place for place, check in enumerate(LIMBS)}


@dataclass(frozen=True, eq=False)
class Held:
    """A limb that is at its reach, and the finding that says so."""

    limb: Limb
    merged: Merged

    @property
    def is_leg(self) -> bool:
        """Whether it is a leg, and no arm."""
        return self.limb.joint == "knee"


def join_legs(basis: Basis, merged: list[Merged], loop: int) -> None:
    """Make one finding of both legs that are at their reach at once, and of arms then too: what
    lifts both is what carries them."""
    held = held_limbs(basis, merged)
    lefts = [each for each in held if each.is_leg and each.limb.side == "L"]
    for left in lefts:
        group = [left]
        for other in held:
            apart = other.limb is not left.limb and other.merged in merged
            if apart and overlap(left.merged, other.merged, loop):
                group.append(other)
        if left.merged in merged and sum(each.is_leg for each in group) > 1:
            joined = _joined(basis, group)
            for each in group:
                merged.remove(each.merged)
            merged.append(joined)


def held_limbs(basis: Basis, merged: Sequence[Merged]) -> list[Held]:
    """The limbs that findings say are at their reach; none where there is but one."""
    told = [each for each in merged if each.lead.check in LIMBS and each.owner is not None]
    if len(told) < 2:
        return []
    limbs = find_limbs(basis)
    return [
        Held(limb, each)
        for each in told
        for limb in limbs
        if each.owner in (limb.upper, limb.lower, limb.end)
    ]


def _joined(basis: Basis, group: list[Held]) -> Merged:
    legs = [each for each in group if each.is_leg]
    leads = [each.merged.lead for each in legs]
    best = min(leads, key=lambda event: (_TOLD[event.check], -event.visible_m))
    first, last = min(event.first for event in leads), max(event.last for event in leads)
    lead = replace(
        best,
        body=basis.lead,
        first=first,
        last=last,
        point="",
        says=_says(basis, group, leads, best, frames_text(*basis.frames[[first, last]])),
        suggestion=_advice(basis, [each.limb for each in legs], first, last, best),
    )
    members = [event for each in group for event in each.merged.members]
    return Merged(basis.lead, lead, [lead, *members])


def _says(basis: Basis, group: list[Held], leads: list[RawEvent], best: RawEvent, when: str) -> str:
    alike = all(event.check == best.check and event.unit == best.unit for event in leads)
    size = size_text(best.visible_m * basis.height.to_story)
    does = "are at their reach"
    if alike and best.check == "knee_pop":
        does = f"snap by up to {size} near their reach"
    elif best.check == "overreach" and best.unit == "%":
        does = f"are at their reach and stretch, by up to {best.amount:.1f} % ({size})"
    elif best.check == "overreach":
        does = f"are at their reach, and a foot stays {size} behind its IK target"
    elif best.check == "locked_knee":
        does = f"are at their reach and lock straight, and a knee snaps by {size} in a frame"
    arms = any(not each.is_leg for each in group)
    return (
        f"Both legs {does}, {when}{', and an arm with them' if arms else ''}: "
        "the {who} is too high."
    )


def _advice(basis: Basis, legs: list[Limb], first: int, last: int, best: RawEvent) -> Suggestion:
    """Lower the hips: by how much, where that is known."""
    drops = [drop for leg in legs if (drop := hips_drop(basis, leg, first, last)) is not None]
    planted = any(stands(basis, leg, first, last) for leg in legs)
    when = over_frames(*basis.frames[[first, last]])
    far = f" by {size_text(max(drops) * basis.height.to_story)}" if drops else " a little"
    text = f"Lower the hips{far}{', or a little more,' if drops else ''} {when}"
    if not planted:
        text = f"{text}, or bring both feet nearer"
    offset = np.array([0.0, 0.0, -max(drops)]) if drops else None
    return Suggestion(
        f"{text}: the knees stay bent.",
        frame=float(basis.frames[best.peak]),
        position=None if offset is None else basis.positions[best.peak, basis.lead] + offset,
        offset=offset,
    )
