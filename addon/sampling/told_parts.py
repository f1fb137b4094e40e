# SPDX-License-Identifier: GPL-3.0-or-later
"""Which bones play which parts, where the user says so: kept with the rig, see `kept`.

An entry is {"part": "foot.L", "bone": "ball_l"}; an empty bone says that there is no such part.
"""

from collections.abc import Mapping
from typing import Any

import bpy
import numpy as np

from ...analysis.notices import first_few
from ...analysis.parts import label
from ...analysis.plain_text import one_line
from ...analysis.roles import doubts_of, is_tellable, without_other_side
from .kept import entries_of, keep_entries, why_unread

PARTS = "plumbline_parts"
EXAMPLE = '[{"part": "foot.L", "bone": "ankle_l"}]'


def told_parts(scene: bpy.types.Scene, rig: bpy.types.Object) -> dict[str, str]:
    """part -> bone as the user says it, empty for none; bones that are gone are among them."""
    found = (_read(entry) for entry in entries_of(scene, rig, PARTS))
    return dict(each for each in found if each is not None)


def tell_part(scene: bpy.types.Scene, rig: bpy.types.Object, part: str, bone: str | None) -> None:
    """Say which bone plays a part: empty for none, None for whichever is found."""
    told = told_parts(scene, rig)
    told.pop(part, None)
    if bone is not None:
        told[part] = bone
    others = [entry for entry in entries_of(scene, rig, PARTS) if _read(entry) is None]
    ours = [{"part": each, "bone": of} for each, of in told.items()]
    keep_entries(scene, rig, PARTS, [*ours, *others])


def unread_parts(scene: bpy.types.Scene, rig: bpy.types.Object) -> list[str]:
    """What stands where parts are told and cannot be used, in a sentence each: what was found,
    what was expected, what to do."""
    if why := why_unread(scene, rig, PARTS):
        return [
            f"{why}, expected JSON text such as {EXAMPLE}: nothing of it is used; delete it and "
            "correct the parts in the panel."
        ]
    odd = [
        f"Entry {number} of the property {PARTS} of {rig.name!r} is not used: expected one such as "
        f"{EXAMPLE[1:-1]}; correct or delete it."
        for number, entry in enumerate(entries_of(scene, rig, PARTS), 1)
        if _read(entry) is None
    ]
    gone = [
        f"The {label(part)} of {rig.name!r} is told to be {one_line(bone)!r}, and there is no such "
        "bone: the part counts as found; choose another bone for it in Parts."
        for part, bone in told_parts(scene, rig).items()
        if bone and bone not in rig.data.bones
    ]
    return first_few([*odd, *gone])


def all_taken_away(
    scene: bpy.types.Scene, rig: bpy.types.Object, parts: Mapping[str, Any]
) -> list[str]:
    """That a rig of which no part is left is judged as if nothing were told; empty elsewhere."""
    told = told_parts(scene, rig)
    if not told or any(told.values()) or any(parts.values()):
        return []
    return [
        f"All parts of {rig.name!r} are taken away, so a check looks for them by the bones' names "
        "again: take one back, or say which bones play them."
    ]


def part_doubts(
    rig: bpy.types.Object, parts: Mapping[str, str], told: Mapping[str, str]
) -> list[str]:
    """What looks wrong in which bones play which parts, a sentence each; `told` are corrections."""
    bones = rig.data.bones
    places = {
        bone: np.array(bones[bone].head_local, dtype=np.float64)
        for bone in parts.values()
        if bone in bones
    }
    lone = [
        f"No bone plays the {label(other)}, while {told[part]!r} is told to be the {label(part)}: "
        f"correct one of them, or say that there is no {label(other)}."
        for other, part in without_other_side(parts, told).items()
    ]
    return [*lone, *doubts_of({part: bone for part, bone in parts.items() if bone}, places)]


def _read(entry: Any) -> tuple[str, str] | None:
    if not isinstance(entry, dict):
        return None
    part, bone = entry.get("part"), entry.get("bone")
    if not isinstance(part, str) or not isinstance(bone, str) or not is_tellable(part):
        return None
    return part, bone
