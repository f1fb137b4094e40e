# SPDX-License-Identifier: GPL-3.0-or-later
"""Records whose names stand for nothing any more, found again by the bones of their rig.

A rig or a scene that is renamed without the extension leaves its record behind, and a scene that is
copied as a whole has rigs of other names. Where more than one could be meant, none is.
"""

import hashlib
import re
from collections.abc import Mapping, Sequence
from typing import Any

import bpy

from ..sampling.scene_facts import frame_range, frames_per_second

BONES = "bones"
_NUMBER = re.compile(r"\.\d{3,}$")


def bones_of(rig: bpy.types.Object) -> str:
    """A few letters that two rigs share where all their bones have the same names; empty for what
    has no bones."""
    bones = getattr(rig.data, "bones", None)
    if not bones:
        return ""
    names = "\n".join(sorted(bone.name for bone in bones))
    return hashlib.sha256(names.encode()).hexdigest()[:12]


def left_behind(
    shots: Sequence[dict[str, Any]], scene: bpy.types.Scene, rig: bpy.types.Object
) -> dict[str, Any] | None:
    """The record of a rig that was renamed, or whose scene was; None where that is not sure.

    shots   those that are known to be of nothing that is still there
    """
    found = [shot for shot in shots if _alike(shot, rig) and _is_renamed(shot, scene, rig)]
    if len(found) != 1:
        return None
    rigs = [item for item in scene.objects if bones_of(item) == found[0][BONES]]
    return found[0] if len(rigs) == 1 else None


def of_the_original(
    shots: Sequence[dict[str, Any]], scene: bpy.types.Scene, rig: bpy.types.Object
) -> dict[str, Any] | None:
    """The record of the rig that this one is a copy of, in the scene that its scene is a copy of;
    None where there is none, or where that is not sure."""
    if not _NUMBER.search(scene.name):
        return None
    found = [
        shot
        for shot in shots
        if _alike(shot, rig)
        and _stem(shot["rig"]) == _stem(rig.name_full)
        and _is_copy(scene, bpy.data.scenes.get(shot["scene"]))
    ]
    return found[0] if len(found) == 1 else None


def _alike(shot: Mapping[str, Any], rig: bpy.types.Object) -> bool:
    bones = bones_of(rig)
    return bool(bones) and shot.get(BONES) == bones


def _is_renamed(shot: Mapping[str, Any], scene: bpy.types.Scene, rig: bpy.types.Object) -> bool:
    """Whether the names of a record are gone, and only one of them is another one now."""
    if shot["scene"] == scene.name:
        return all(item.name_full != shot["rig"] for item in scene.objects)
    return shot["rig"] == rig.name_full and shot["scene"] not in bpy.data.scenes


def _is_copy(scene: bpy.types.Scene, other: bpy.types.Scene | None) -> bool:
    if other is None or other == scene or _stem(other.name) != _stem(scene.name):
        return False
    rates = frames_per_second(scene), frames_per_second(other)
    return frame_range(scene) == frame_range(other) and rates[0] == rates[1]


def _stem(name: str) -> str:
    return _NUMBER.sub("", name)
