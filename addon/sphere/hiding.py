# SPDX-License-Identifier: GPL-3.0-or-later
"""Hides all but the sphere, with the eye of each object, and shows exactly that again.

What was hidden is remembered by pointers in a custom property of the view layer: it survives
renaming, saving, loading and undo, and is gone when all is shown again. Neither collections nor
the user's own switches (the monitor, the camera) are touched.
"""

from typing import Any

import bpy

from ..sampling.supports import bears_weight
from .ours import is_ours

HIDDEN = "plumbline_hidden"
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
    rest = [
        item for item in layer.objects if not _stays(item) and not item.hide_get(view_layer=layer)
    ]
    selected = [item for item in rest if item.select_get(view_layer=layer)]
    before = layer.get(HIDDEN)
    remembered = {
        "hidden": _numbered([*_listed(before, "hidden"), *rest]),
        "selected": _numbered([*_listed(before, "selected"), *selected]),
    }
    if rest or before is None:
        layer[HIDDEN] = remembered
    for item in rest:
        item.hide_set(True, view_layer=layer)
    return len(rest)


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
        hidden = [item for item in _listed(memory, "hidden") if item in there]
        selected = [item for item in _listed(memory, "selected") if item in there]
        del layer[HIDDEN]
        for item in hidden:
            item.hide_set(False, view_layer=layer)
        for item in selected:
            item.select_set(True, view_layer=layer)
        count += len(hidden)
    return count


def _stays(item: bpy.types.Object) -> bool:
    return item.type in _STAY or is_ours(item) or bears_weight(item)


def _numbered(items: list[bpy.types.Object]) -> dict[str, bpy.types.Object]:
    """A custom property holds objects by name only, so they are numbered."""
    return {str(number): item for number, item in enumerate(dict.fromkeys(items))}


def _listed(memory: Any, name: str) -> list[bpy.types.Object]:
    return [] if memory is None else [item for item in memory[name].values() if item is not None]
