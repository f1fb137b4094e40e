# SPDX-License-Identifier: GPL-3.0-or-later
"""Hides all but the sphere, with the eye of each object, and shows exactly that again.

A 3D view in local view shows the sphere and its upright copies meanwhile, and not after.

What was hidden is remembered by pointers in a custom property of the view layer: it survives
renaming, saving, loading and undo, and is gone when all is shown again. Neither collections nor
the user's own switches (the monitor, the camera) are touched.
"""

from typing import Any

import bpy

from ..sampling.supports import bears_weight
from .local_views import ITEM, join_local_views, leave_local_views
from .ours import is_ours

HIDDEN = "plumbline_hidden"
_LOCAL = "local"
# They are looked through and lit by, not looked at.
_STAY = ("CAMERA", "LIGHT", "LIGHT_PROBE", "SPEAKER")


def is_hiding(scene: bpy.types.Scene) -> bool:
    """Whether a view layer of the scene remembers what was hidden."""
    return any(layer.get(HIDDEN) is not None for layer in scene.view_layers)


def hide_rest(layer: bpy.types.ViewLayer) -> int:
    """Hide all that is no sphere and bears no weight; returns how many objects that is.

    Objects that are hidden already are not ours to show later and are left alone. Asked again,
    it hides what has come since, and remembers that as well.
    """
    show_in_local_views(layer)
    rest = [
        item for item in layer.objects if not _stays(item) and not item.hide_get(view_layer=layer)
    ]
    selected = [item for item in rest if item.select_get(view_layer=layer)]
    before = layer.get(HIDDEN)
    if rest or before is None:
        layer[HIDDEN] = {
            "hidden": _numbered([*_listed(before, "hidden"), *rest]),
            "selected": _numbered([*_listed(before, "selected"), *selected]),
            _LOCAL: _joined(before),
        }
    for item in rest:
        item.hide_set(True, view_layer=layer)
    return len(rest)


def show_in_local_views(layer: bpy.types.ViewLayer) -> None:
    """Put balls and upright copies into the layer's local views, to be taken out when all is shown
    again."""
    layer.update()  # of what has just been deleted, its list still says none
    balls = [item for item in layer.objects if item.type == "MESH" and is_ours(item)]
    joined, before = join_local_views(layer, balls), layer.get(HIDDEN)
    if joined:
        every = [*_joined(before).values(), *joined]
        layer[HIDDEN] = {
            "hidden": _numbered(_listed(before, "hidden")),
            "selected": _numbered(_listed(before, "selected")),
            _LOCAL: {str(number): each for number, each in enumerate(every)},
        }


def show_again(scene: bpy.types.Scene) -> int:
    """Show what was hidden, in every view layer, and select what hiding deselected.

    Objects that were deleted meanwhile are forgotten. Returns how many are shown.
    """
    count = 0
    for layer in scene.view_layers:
        memory = layer.get(HIDDEN)
        if memory is None:
            continue
        there = set(layer.objects)
        joined = list(_joined(memory).values())
        hidden = [item for item in _listed(memory, "hidden") if item in there]
        selected = [item for item in _listed(memory, "selected") if item in there]
        del layer[HIDDEN]
        for item in hidden:
            item.hide_set(False, view_layer=layer)
        for item in selected:
            item.select_set(True, view_layer=layer)
        leave_local_views(layer, [each for each in joined if each[ITEM] in there])
        count += len(hidden)
    return count


def _stays(item: bpy.types.Object) -> bool:
    return item.type in _STAY or is_ours(item) or bears_weight(item)


def _numbered(items: list[bpy.types.Object]) -> dict[str, bpy.types.Object]:
    """A custom property holds objects by name only, so they are numbered."""
    return {str(number): item for number, item in enumerate(dict.fromkeys(items))}


def _joined(memory: Any) -> dict[str, Any]:
    """What was put into local views, by number; older files remember none of that."""
    told = {} if memory is None else memory.get(_LOCAL, {})
    every = {number: dict(each.items()) for number, each in told.items()}
    return {number: each for number, each in every.items() if each[ITEM] is not None}


def _listed(memory: Any, name: str) -> list[bpy.types.Object]:
    return [] if memory is None else [item for item in memory[name].values() if item is not None]
