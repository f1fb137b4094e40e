# SPDX-License-Identifier: GPL-3.0-or-later
"""Both arms that miss alike at one moment are one finding of the chest, which is too far away."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .evidence import RawEvent, Suggestion
from .merge_hips import Held, held_limbs
from .merged import Merged
from .words import direction_text, frames_text, over_frames, size_text

Floats = NDArray[np.float64]

# They miss alike where they share half of the longer time, where the smaller miss is half of the
# larger one, and where they go one way to 60 degrees: arms that are pulled apart, or of which one
# is led off, each have a control of their own to mend.
SHARED, AS_FAR, ONE_WAY = 0.5, 0.5, 0.5
# What an arm at its reach does; a snap of an elbow is its own.
_CHECKS = ("overreach", "locked_knee")


def join_arms(basis: Basis, merged: list[Merged]) -> None:
    """Make one finding of both arms that are at their reach alike."""
    arms = [
        each
        for each in held_limbs(basis, merged)
        if not each.is_leg and each.merged.lead.check in _CHECKS
    ]
    for left in [each for each in arms if each.limb.side == "L"]:
        for right in [each for each in arms if each.limb.side == "R"]:
            there = left.merged in merged and right.merged in merged
            if there and _are_alike(left, right):
                joined = _joined(basis, left, right)
                merged.remove(left.merged)
                merged.remove(right.merged)
                merged.append(joined)


def _are_alike(left: Held, right: Held) -> bool:
    one, other = left.merged.lead, right.merged.lead
    if (one.check, one.unit) != (other.check, other.unit):
        return False
    shared = min(one.last, other.last) - max(one.first, other.first) + 1
    if shared < SHARED * (max(one.last - one.first, other.last - other.first) + 1):
        return False
    sizes = sorted((one.visible_m, other.visible_m))
    ways = [_miss(each) for each in (left, right)]
    cosine = ways[0] @ ways[1] / max(float(np.prod(np.linalg.norm(ways, axis=1))), 1e-12)
    return bool(sizes[0] >= AS_FAR * sizes[1] and cosine >= ONE_WAY)


def _miss(held: Held) -> Floats:
    """(3,) metres from a hand to where it is wanted; of an arm that tells no goal, along it."""
    event = held.merged.lead
    if event.suggestion is not None and event.suggestion.offset is not None:
        return -event.suggestion.offset
    along = held.limb.paths[event.peak, 2] - held.limb.paths[event.peak, 0]
    return np.asarray(event.visible_m * along / max(float(np.linalg.norm(along)), 1e-12))


def _joined(basis: Basis, left: Held, right: Held) -> Merged:
    leads = [each.merged.lead for each in (left, right)]
    best = max(leads, key=lambda event: event.visible_m)
    first, last = min(event.first for event in leads), max(event.last for event in leads)
    chest = basis.body("chest")
    owner = basis.lead if chest is None else chest
    miss = 0.5 * (_miss(left) + _miss(right))
    lead = replace(
        best,
        body=owner,
        first=first,
        last=last,
        point="",
        says=_says(basis, best, frames_text(*basis.frames[[first, last]])),
        suggestion=_advice(basis, best, owner, miss, over_frames(*basis.frames[[first, last]])),
    )
    return Merged(owner, lead, [lead, *left.merged.members, *right.merged.members])


def _says(basis: Basis, best: RawEvent, when: str) -> str:
    size = size_text(best.visible_m * basis.height.to_story)
    does = "Both arms lock straight"
    if best.check == "overreach" and best.unit == "%":
        does = f"Both arms stretch, by up to {best.amount:.1f} % ({size})"
    elif best.check == "overreach":
        does = f"Both hands stay up to {size} behind their IK targets"
    return f"{does}, {when}: the {{who}} is too far away."


def _advice(basis: Basis, best: RawEvent, owner: int, miss: Floats, when: str) -> Suggestion:
    """Move the chest after both hands: by how much, where that is known."""
    where = direction_text(miss, basis.forward[best.peak])
    known = best.check == "overreach"
    size = size_text(float(np.linalg.norm(miss)) * basis.height.to_story) if known else "a little"
    text = f"Move {{it}} {size} {where} {when}, or bring both hands nearer to it."
    at = float(basis.frames[best.peak])
    if not known:
        return Suggestion(text, frame=at)
    return Suggestion(text, at, basis.positions[best.peak, owner] + miss, miss)
