# SPDX-License-Identifier: GPL-3.0-or-later
"""What stands where the user declares events, follows, fixes or lets bear weight, and is none."""

from collections.abc import Iterator
from typing import Any

import bpy

from ...analysis.notices import first_few
from .events import EVENTS, unread_events
from .events import EXAMPLE as AN_EVENT
from .follow import FOLLOW, is_point
from .kept import entries_of, keeps_properties, shown_value, why_unread, why_unread_on_scene
from .props import FIXED
from .supports import BEARS_WEIGHT

_POINTS = '[["bone", "ear"]]'


def unread_marks(scene: bpy.types.Scene, rig: bpy.types.Object) -> list[str]:
    """One sentence each: what was found, what was expected, what to do."""
    told = [each for item in scene.objects for each in _of(scene, item)]
    told += _of_scene(scene, FOLLOW, _POINTS)
    if keeps_properties(rig):
        told += _of_scene(scene, EVENTS, AN_EVENT)
    return [*unread_events(scene, rig), *first_few(told)]


def _of(scene: bpy.types.Scene, item: bpy.types.Object) -> Iterator[str]:
    if keeps_properties(item) and (why := why_unread(scene, item, FOLLOW)):
        yield f"{why}, expected JSON text such as {_POINTS}: nothing of it is followed; delete it."
    for number, entry in enumerate(entries_of(scene, item, FOLLOW), 1):
        if not is_point(item, entry):
            yield (
                f"Entry {number} of the property {FOLLOW} of {item.name!r} is not followed: "
                f"expected one such as {_POINTS[1:-1]}; correct or delete it."
            )
    for key, counts in ((FIXED, "as set"), (BEARS_WEIGHT, "as not set")):
        if not _is_flag(found := item.get(key, False)):
            yield (
                f"The property {key} of {item.name!r} is {shown_value(found)}, expected True or "
                f"False: it counts {counts}; correct or delete it."
            )


def _of_scene(scene: bpy.types.Scene, key: str, example: str) -> list[str]:
    why = why_unread_on_scene(scene, key)
    if not why:
        return []
    return [
        f'{why}, expected JSON text such as {{"porter": {example}}}: nothing of it is used; '
        "delete it."
    ]


def _is_flag(found: Any) -> bool:
    return isinstance(found, bool | int) and found in (0, 1)
