# SPDX-License-Identifier: GPL-3.0-or-later
"""Limbs that are at their reach at one moment are one finding of the hips, which lift them off."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from .basis import Basis
from .evidence import RawEvent, Suggestion
from .hips_down import hips_drop, stands
from .limbs import Limb, find_limbs
from .merged import LIMBS, NEAR, Merged, overlap
from .words import capital, frames_text, over_frames, size_text

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

    @property
    def hangs(self) -> bool:
        """Whether its end is below where it begins: what lifts the body takes it to its reach."""
        path = self.limb.paths[self.merged.lead.peak]
        return bool(path[2, 2] < path[0, 2])


def take_lifted(basis: Basis, merged: list[Merged]) -> None:
    """Let a stride in which the body rises too far tell which limbs are at their reach in it."""
    for rise in [each for each in merged if _rises(each)]:
        inside = [each for each in merged if _is_at_reach(each) and _is_within(rise, each)]
        held = [each for each in _limbs_of(basis, inside) if each.hangs]
        if held:
            who = limbs_text([each.limb for each in held])
            reach = "are at their" if len(held) > 1 else "is at its"
            says = f"{rise.lead.says.removesuffix('.')}: it is too high, and {who} {reach} reach."
            rise.lead = replace(rise.lead, says=says)
        for each in held:
            rise.members += each.merged.members
            merged.remove(each.merged)


def _rises(stride: Merged) -> bool:
    """Whether a stride goes too far up: the advice lowers the body."""
    advice = stride.lead.suggestion
    if stride.lead.check != "sway" or advice is None or advice.offset is None:
        return False
    return bool(advice.offset[2] < 0.0)


def _is_at_reach(limb: Merged) -> bool:
    """Whether it tells that a limb is at its reach, also by how its joints turn meanwhile."""
    if limb.owner is None or limb.lead.check not in (*LIMBS, "straight_run"):
        return False
    return any(event.check in LIMBS for event in limb.members)


def _is_within(rise: Merged, limb: Merged) -> bool:
    """Whether it lasts no longer than the body is too high, and misses by no more than that."""
    missed = [event.visible_m for event in limb.members if event.check == "overreach"]
    first, last = rise.lead.first - NEAR, rise.lead.last + NEAR
    within = first <= limb.lead.first and limb.lead.last <= last
    return within and max(missed, default=0.0) <= rise.lead.visible_m


def join_legs(basis: Basis, merged: list[Merged], loop: int) -> None:
    """Make one finding of both legs that are at their reach at once, and of arms then too: what
    lifts both is what carries them. One leg and both arms, hanging, are that as well."""
    held = held_limbs(basis, merged)
    for leg in [each for each in held if each.is_leg]:
        group = [leg]
        for other in held:
            apart = other.limb is not leg.limb and other.merged in merged
            if apart and overlap(leg.merged, other.merged, loop):
                group.append(other)
        if leg.merged in merged and _are_lifted(group):
            joined = _joined(basis, group)
            for each in group:
                merged.remove(each.merged)
            merged.append(joined)


def _are_lifted(group: Sequence[Held]) -> bool:
    """Whether limbs that are at their reach at once are so by the hips."""
    arms = {each.limb.side for each in group if not each.is_leg and each.hangs}
    return len({each.limb.side for each in group if each.is_leg}) > 1 or len(arms) > 1


def held_limbs(basis: Basis, merged: Sequence[Merged]) -> list[Held]:
    """The limbs that findings say are at their reach; none where there is but one."""
    told = [each for each in merged if each.lead.check in LIMBS and each.owner is not None]
    return _limbs_of(basis, told) if len(told) > 1 else []


def _limbs_of(basis: Basis, told: Sequence[Merged]) -> list[Held]:
    limbs = find_limbs(basis) if told else ()
    return [
        Held(limb, each)
        for each in told
        for limb in limbs
        if each.owner in (limb.upper, limb.lower, limb.end)
    ]


def limbs_text(limbs: Sequence[Limb]) -> str:
    """`the left leg and both arms`: each limb once, legs first."""
    parts = []
    for joint, both in (("knee", "both legs"), ("elbow", "both arms")):
        names = sorted({limb.whole for limb in limbs if limb.joint == joint})
        parts += [both] if len(names) > 1 else [f"the {name}" for name in names]
    return " and ".join(parts)


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
    who = capital(limbs_text([each.limb for each in group]))
    return f"{who} {does}, {when}: the {{who}} is too high."


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
