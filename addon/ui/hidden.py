# SPDX-License-Identifier: GPL-3.0-or-later
"""What hides a control from the viewport, in words, and how just that is shown."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import bpy


@dataclass(frozen=True)
class Hider:
    """what   what is out of sight, as `the bone collection 'Tweaks'`; how: `is hidden`
    show   takes that away
    """

    what: str
    how: str
    show: Callable[[], None]


def hiders_of(
    context: bpy.types.Context, owner: bpy.types.Object, bone: str | None, space: Any = None
) -> list[Hider]:
    """All that hides an object, or a bone of it, from a view; empty where it is in sight.

    `space` is the 3D view that is meant, for its local view; None where there is none.
    """
    found = _of_object(context, owner, space)
    if bone is not None and owner.pose is not None and bone in owner.pose.bones:
        found += _of_bone(owner.pose.bones[bone])
    return found


def _of_object(context: bpy.types.Context, owner: Any, space: Any) -> list[Hider]:
    found = []
    layer, what = context.view_layer, repr(owner.name)
    if owner.hide_viewport:
        found.append(Hider(what, "is disabled in viewports", _set(owner, "hide_viewport", False)))
    paths = list(_paths_to(layer.layer_collection, owner, ()))
    if paths:
        found += _fewest([_of_path(path) for path in paths])
    if holds(layer.objects, owner) and owner.hide_get(view_layer=layer):
        found.append(Hider(what, "is hidden", lambda: owner.hide_set(False, view_layer=layer)))
    if space is not None and space.local_view and not owner.local_view_get(space):
        how = "is not in this local view"
        found.append(Hider(what, how, lambda: owner.local_view_set(space, True)))
    kind = f"show_object_viewport_{owner.type.lower()}"
    if space is not None and getattr(space, kind, True) is False:
        how = "are hidden in this view"
        found.append(Hider("objects of its type", how, _set(space, kind, True)))
    return found


def holds(objects: Any, owner: Any) -> bool:
    """Whether an object is among others; a linked one may share its name with a local one."""
    named = objects.get(owner.name)
    return named is not None and (named == owner or any(each == owner for each in objects))


def _paths_to(layer: Any, owner: Any, above: tuple[Any, ...]) -> Iterator[tuple[Any, ...]]:
    """The layer collections from the scene's own down to each one that holds an object."""
    path = (*above, layer)
    if holds(layer.collection.objects, owner):
        yield path
    for child in layer.children:
        yield from _paths_to(child, owner, path)


def _of_path(path: tuple[Any, ...]) -> list[Hider]:
    found = []
    for layer in path:
        what = f"the collection {layer.collection.name!r}"
        for block, flag, how in (
            (layer, "exclude", "is excluded from the view layer"),
            (layer, "hide_viewport", "is hidden"),
            (layer.collection, "hide_viewport", "is disabled in viewports"),
        ):
            if getattr(block, flag):
                found.append(Hider(what, how, _set(block, flag, False)))
    return found


def _fewest(ways: list[list[Hider]]) -> list[Hider]:
    """Of several ways to what is hidden, the one with the least in it."""
    return min(ways, key=lambda way: len(way))


def _set(block: Any, flag: str, value: bool) -> Callable[[], None]:
    return lambda: setattr(block, flag, value)


def _of_bone(bone: Any) -> list[Hider]:
    """Since 5.0 a pose hides its bones itself."""
    holder = bone if hasattr(bone, "hide") else bone.bone
    found = [Hider(bone.name, "is hidden", _set(holder, "hide", False))] if holder.hide else []
    inside = list(bone.bone.collections)
    if inside and not any(each.is_visible_effectively for each in inside):
        solo = bone.id_data.data.collections.is_solo_active
        found += [_solo(inside[0])] if solo else _fewest([_of_bones(each) for each in inside])
    return found


def _solo(collection: Any) -> Hider:
    what = f"the bone collection {collection.name!r}"
    return Hider(what, "is not solo, as others are", _set(collection, "is_solo", True))


def _of_bones(collection: Any) -> list[Hider]:
    """A bone collection and those above it, from the top."""
    found: list[Hider] = []
    at = collection
    while at is not None:
        if not at.is_visible:
            what = f"the bone collection {at.name!r}"
            found.insert(0, Hider(what, "is hidden", _set(at, "is_visible", True)))
        at = at.parent
    return found


def hidden_text(control: str, hiders: Sequence[Hider]) -> str:
    """`torso is out of sight: the collection 'rig' is hidden and torso is hidden.`"""
    return f"{control} is out of sight: {_listed([f'{h.what} {h.how}' for h in hiders])}."


def shown_text(hiders: Sequence[Hider]) -> str:
    """`Shown: the bone collection 'Tweaks' and torso.`"""
    return f"Shown: {_listed(list(dict.fromkeys(each.what for each in hiders)))}."


def _listed(told: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(told[:-1]), *told[-1:])))
