# SPDX-License-Identifier: GPL-3.0-or-later
"""What the user asked to follow besides the figure: bones, vertices and objects.

The wish is kept as a custom property: on the object itself, so that it is saved, renamed and
deleted with it; for objects that keep no property of ours (linked or overridden ones) on the
scene, by their full names.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import bpy

from .scene_facts import library_path

FOLLOW = "plumbline_follow"


@dataclass(frozen=True)
class Wanted:
    """A bone or a vertex of an object; or the object itself, where neither is named."""

    item: bpy.types.Object
    bone: str = ""
    vertex: int = -1

    @property
    def name(self) -> str:
        """What findings and lists call it."""
        if self.vertex >= 0:
            return f"{self.item.name} vertex {self.vertex}"
        return self.bone or str(self.item.name)

    @property
    def is_there(self) -> bool:
        """Whether the object still has the bone or the vertex."""
        if self.bone:
            return self.item.pose is not None and self.bone in self.item.pose.bones
        if self.vertex >= 0:
            return self.item.type == "MESH" and self.vertex < len(self.item.data.vertices)
        return True


def wanted_points(scene: bpy.types.Scene) -> list[Wanted]:
    """All that is to be followed in a scene, by the names of its objects, local before linked."""
    kept = _on_scene(scene)
    items = [item for item in scene.objects if item.get(FOLLOW) or item.name_full in kept]
    items.sort(key=lambda item: (item.name, library_path(item) or ""))
    return [each for item in items for each in _of(item, kept)]


def follow(scene: bpy.types.Scene, points: Sequence[Wanted]) -> None:
    """Follow points as well; what is followed already stays so."""
    for item in dict.fromkeys(point.item for point in points):
        new = [point for point in points if point.item == item]
        _keep(scene, item, list(dict.fromkeys([*_of(item, _on_scene(scene)), *new])))


def unfollow(scene: bpy.types.Scene, points: Sequence[Wanted]) -> None:
    """Follow points no longer."""
    for item in dict.fromkeys(point.item for point in points):
        left = [each for each in _of(item, _on_scene(scene)) if each not in points]
        _keep(scene, item, left)


def keeps_properties(item: Any) -> bool:
    """Whether a custom property stays: Blender drops new ones of overrides when it saves."""
    return item.library is None and item.override_library is None


def _keep(scene: bpy.types.Scene, item: bpy.types.Object, points: Sequence[Wanted]) -> None:
    told = [_entry(point) for point in points]
    if keeps_properties(item):
        _set(item, json.dumps(told) if told else "")
        return
    kept = _on_scene(scene)
    kept.pop(item.name_full, None)
    if told:
        kept[item.name_full] = told
    _set(scene, json.dumps(kept) if kept else "")


def _set(block: Any, text: str) -> None:
    if text:
        block[FOLLOW] = text
    elif block.get(FOLLOW) is not None:
        del block[FOLLOW]


def _entry(point: Wanted) -> list[Any]:
    if point.vertex >= 0:
        return ["vertex", point.vertex]
    return ["bone", point.bone] if point.bone else ["object"]


def _of(item: bpy.types.Object, kept: dict[str, Any]) -> Iterator[Wanted]:
    """The points of an object; what nobody of us wrote is left alone."""
    told = _read(item, list) if keeps_properties(item) else kept.get(item.name_full, [])
    for entry in told:
        match entry:
            case ["object"]:
                yield Wanted(item)
            case ["bone", str(bone)]:
                yield Wanted(item, bone=bone)
            case ["vertex", int(vertex)]:
                yield Wanted(item, vertex=vertex)


def _on_scene(scene: bpy.types.Scene) -> dict[str, Any]:
    kept: dict[str, Any] = _read(scene, dict)
    return {name: told for name, told in kept.items() if isinstance(told, list)}


def _read(block: Any, kind: type) -> Any:
    try:
        found = json.loads(block.get(FOLLOW, "null"))
    except (TypeError, ValueError):
        found = None
    return found if isinstance(found, kind) else kind()
