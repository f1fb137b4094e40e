# SPDX-License-Identifier: GPL-3.0-or-later
"""Puts balls into 3D views that are in local view, and takes them out again.

Whether an object is in one is asked of what was evaluated: without a window, 4.2 says it of nothing
else.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import bpy

# What is remembered of an object in a view: the object, the screen's name, the area's number.
ITEM, _SCREEN, _AREA = "item", "screen", "area"


def join_local_views(
    layer: bpy.types.ViewLayer, items: Sequence[bpy.types.Object]
) -> list[dict[str, Any]]:
    """Put those of the items into each local view of a view layer that are not in it; returns what
    `leave_local_views` needs."""
    joined = []
    for screen, number, space in _local_views(layer):
        graph = _evaluated(layer)
        for item in items:
            if not item.evaluated_get(graph).local_view_get(space):
                item.local_view_set(space, True)
                joined.append({ITEM: item, _SCREEN: screen.name, _AREA: number})
    return joined


def leave_local_views(layer: bpy.types.ViewLayer, joined: Sequence[Mapping[str, Any]]) -> None:
    """Take items out of the local views that they were put into.

    A view in which nothing else is is another one by now, into which the user took them.
    """
    for screen, number, space in _local_views(layer):
        place = screen.name, number
        mine = [each[ITEM] for each in joined if (each[_SCREEN], each[_AREA]) == place]
        graph = _evaluated(layer)
        others = (item for item in layer.objects if item not in mine)
        if any(item.evaluated_get(graph).local_view_get(space) for item in others):
            for item in mine:
                item.local_view_set(space, False)


def _evaluated(layer: bpy.types.ViewLayer) -> Any:
    layer.update()
    return layer.depsgraph


def _local_views(layer: bpy.types.ViewLayer) -> Iterator[tuple[Any, int, Any]]:
    """(screen, number of the area, space) of each 3D view in local view that shows a layer."""
    for window in bpy.context.window_manager.windows:
        if window.view_layer != layer:
            continue
        for number, area in enumerate(window.screen.areas):
            space: Any = area.spaces.active
            if space.type == "VIEW_3D" and space.local_view is not None:
                yield window.screen, number, space
