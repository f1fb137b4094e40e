# SPDX-License-Identifier: GPL-3.0-or-later
"""What the user asked to follow besides the figure: bones, vertices and objects.

The wish is kept as a custom property, see `kept`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import bpy

from .kept import entries_of, keep_entries, kept_on_scene
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
    kept = kept_on_scene(scene, FOLLOW)
    items = [
        item
        for item in scene.objects
        if item.get(FOLLOW) or (kept and entries_of(scene, item, FOLLOW))
    ]
    items.sort(key=lambda item: (item.name, library_path(item) or ""))
    return [each for item in items for each in _of(scene, item)]


def follow(scene: bpy.types.Scene, points: Sequence[Wanted]) -> None:
    """Follow points as well; what is followed already stays so."""
    for item in dict.fromkeys(point.item for point in points):
        new = [point for point in points if point.item == item]
        _keep(scene, item, list(dict.fromkeys([*_of(scene, item), *new])))


def unfollow(scene: bpy.types.Scene, points: Sequence[Wanted]) -> None:
    """Follow points no longer."""
    for item in dict.fromkeys(point.item for point in points):
        _keep(scene, item, [each for each in _of(scene, item) if each not in points])


def is_point(item: bpy.types.Object, entry: Any) -> bool:
    """Whether an entry of an object's says a point, that is there or not."""
    return _point(item, entry) is not None


def _keep(scene: bpy.types.Scene, item: bpy.types.Object, points: Sequence[Wanted]) -> None:
    """Keep points instead of those that were kept; entries that are none stay, after them."""
    others = [e for e in entries_of(scene, item, FOLLOW) if _point(item, e) is None]
    keep_entries(scene, item, FOLLOW, [*(_entry(point) for point in points), *others])


def _entry(point: Wanted) -> list[Any]:
    if point.vertex >= 0:
        return ["vertex", point.vertex]
    return ["bone", point.bone] if point.bone else ["object"]


def _of(scene: bpy.types.Scene, item: bpy.types.Object) -> Iterator[Wanted]:
    """The points of an object; what nobody of us wrote is left alone."""
    found = (_point(item, entry) for entry in entries_of(scene, item, FOLLOW))
    return (point for point in found if point is not None)


def _point(item: bpy.types.Object, entry: Any) -> Wanted | None:
    """The point that an entry says; None for what is none."""
    match entry:
        case ["object"]:
            return Wanted(item)
        case ["bone", str(bone)]:
            return Wanted(item, bone=bone)
        case ["vertex", int(vertex)]:
            return Wanted(item, vertex=vertex)
    return None
