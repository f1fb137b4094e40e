# SPDX-License-Identifier: GPL-3.0-or-later
"""Where that stands which answers hang on and which is no rig, as numbers: what bears weight, what
hangs on rigs, and cameras, each with what leads it.

Rigs are left out: their keys tell of them, and poses without keys are not measured. Where one leads
a camera, though, where it stands as an object moves the picture.
"""

from collections.abc import Iterable, Iterator
from typing import Any

import bpy

from ..sphere.ours import is_ours
from .supports import bears_weight
from .unkeyed import number_of_place, number_of_shape, played_of

# By the number of each object, or of its data, what tells of it.
Places = dict[int, int]


def places_in(scene: bpy.types.Scene) -> Places:
    """Of what bears weight, and of meshes that hang on rigs."""
    return _places(each for each in scene.objects if bears_weight(each) or _is_carried(each))


def cameras_in(scene: bpy.types.Scene) -> Places:
    """Of the cameras that a scene may look through."""
    markers = (marker.camera for marker in scene.timeline_markers)
    return _places((each for each in (scene.camera, *markers) if each is not None), rigs=True)


def cuts_of(scene: bpy.types.Scene) -> tuple[tuple[int, int], ...]:
    """(frame, camera's number) of each marker that switches cameras, and of the scene's camera."""
    markers = scene.timeline_markers
    cuts = sorted((each.frame, each.camera.session_uid) for each in markers if each.camera)
    return (*cuts, (0, 0 if scene.camera is None else scene.camera.session_uid))


def _places(items: Iterable[bpy.types.Object], *, rigs: bool = False) -> Places:
    found: Places = {}
    waiting = list(items)
    while waiting:
        item = waiting.pop()
        is_left_out = item.type == "ARMATURE" and not rigs
        if is_left_out or item.session_uid in found or is_ours(item):
            continue
        found[item.session_uid] = number_of_place(item, played_of(item))
        if item.data is not None:
            found[item.data.session_uid] = number_of_shape(item.data)
        waiting += [each for each in (item.parent, *_targets(item)) if each is not None]
    return found


def _is_carried(item: bpy.types.Object) -> bool:
    if item.type != "MESH":
        return False
    hung = item.parent if item.parent_type == "BONE" else None
    return any(each is not None and each.type == "ARMATURE" for each in (hung, *_targets(item)))


def _targets(item: bpy.types.Object) -> Iterator[Any]:
    for constraint in item.constraints:
        yield getattr(constraint, "target", None)
        if constraint.type == "ARMATURE":
            yield from (each.target for each in constraint.targets)
