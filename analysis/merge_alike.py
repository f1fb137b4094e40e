# SPDX-License-Identifier: GPL-3.0-or-later
"""What a limb's reach does alike again and again is one finding, which says how often and when."""

from dataclasses import replace

import numpy as np

from .basis import Basis
from .evidence import RawEvent, Suggestion
from .hips_down import hips_drop, stands
from .limbs import Limb, find_limbs
from .merged import Merged
from .words import frame_text, size_text

# So many times, and each of them off by no more than so many times the middle one, or less by that.
LEAST, ALIKE = 4, 1.5
# So many frames are named.
NAMED = 4


def join_alike(basis: Basis, merged: list[Merged]) -> None:
    """Make one finding of stretches, or of gaps, of the legs (or of the arms) that are alike."""
    reaches = [each for each in merged if each.lead.check == "overreach" and each.owner is not None]
    if len(reaches) < LEAST:
        return
    limbs = find_limbs(basis)
    for joint in ("knee", "elbow"):
        for unit in sorted({each.lead.unit for each in reaches}):
            owners = {n: m for m in limbs if m.joint == joint for n in (m.upper, m.lower, m.end)}
            group = [each for each in reaches if each.owner in owners and each.lead.unit == unit]
            group = _alike(group)
            if len(group) >= LEAST:
                found = _joined(basis, group, owners)
                merged[:] = [each for each in merged if each not in group] + [found]


def _alike(group: list[Merged]) -> list[Merged]:
    """Those that are off by about as much as the middle one: what is far more is a fault apart."""
    sizes = np.array([each.lead.visible_m for each in group])
    middle = float(np.median(sizes)) if len(sizes) else 0.0
    return [
        each
        for each, size in zip(group, sizes, strict=True)
        if middle / ALIKE <= size <= middle * ALIKE
    ]


def _joined(basis: Basis, group: list[Merged], owners: dict[int, Limb]) -> Merged:
    worst = max(group, key=lambda each: each.lead.visible_m)
    limbs = [owners[each.owner] for each in group if each.owner is not None]
    lead = replace(
        worst.lead,
        says=_says(basis, group, limbs, worst.lead),
        suggestion=_advice(basis, group, limbs, worst.lead),
        throughout=True,
    )
    return Merged(worst.owner, lead, [lead, *(event for each in group for event in each.members)])


def _says(basis: Basis, group: list[Merged], limbs: list[Limb], worst: RawEvent) -> str:
    """`Both legs stretch 14 times alike, by up to 3.5 % (3.0 cm), most at frame 16: ...`."""
    size = size_text(worst.visible_m * basis.height.to_story)
    names = sorted({limb.whole for limb in limbs})
    both = len(names) > 1
    kind = "legs" if limbs[0].joint == "knee" else "arms"
    if worst.unit == "%":
        who = f"both {kind}" if both else f"the {names[0]}"
        does = f"{who} {'stretch' if both else 'stretches'} {len(group)} times alike"
        does += f", by up to {worst.amount:.1f} % ({size})"
    else:
        end = "feet" if kind == "legs" else "hands"
        who = f"both {end} stay" if both else f"the {limbs[0].end_name} stays"
        target = "IK targets" if both else "IK target"
        does = f"{who} behind {'their' if both else 'its'} {target} {len(group)} times alike"
        does += f", by up to {size}"
    at = sorted(float(basis.frames[each.lead.peak]) for each in group)
    frames = ", ".join(frame_text(frame) for frame in at[:NAMED])
    more = f" and {len(at) - NAMED} more" if len(at) > NAMED else ""
    return f"{does}, most at frame {frame_text(basis.frames[worst.peak])} (at {frames}{more})."


def _advice(
    basis: Basis, group: list[Merged], limbs: list[Limb], worst: RawEvent
) -> Suggestion | None:
    """Lower the hips in all of the shot, by the most that a foot which stands asks for."""
    drops = []
    for each, limb in zip(group, limbs, strict=True):
        first, last = each.lead.first, each.lead.last
        if limb.joint == "knee" and stands(basis, limb, first, last):
            drops.append(hips_drop(basis, limb, first, last) or 0.0)
    at = float(basis.frames[worst.peak])
    size = size_text(worst.visible_m * basis.height.to_story)
    if 2 * len(drops) <= len(group):
        ends = "feet" if limbs[0].joint == "knee" else "hands"
        return Suggestion(
            f"Bring the controls of the {ends} up to {size} nearer in each of them, or what "
            "carries the limb after them.",
            frame=at,
        )
    drop = max(drops)
    return Suggestion(
        f"Lower the hips by up to {size_text(drop * basis.height.to_story)}, or a little more, in "
        "each of them or in the whole shot, or shorten the steps.",
        frame=at,
        offset=np.array([0.0, 0.0, -drop]),
    )
