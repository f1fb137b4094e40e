# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the user's declarations are kept: as JSON in a custom property of the object.

So they are saved, renamed and deleted with it. For objects that keep no property of ours (linked
or overridden ones) the scene keeps them, by the objects' full names. Where such a name is gone
(an override was made or renamed, a library goes by another number), they go on with the one object
of that origin.
"""

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

import bpy

# A text that is quoted is cut here.
_LONG = 40
# What Blender adds to names: the library of what is linked, and the number of what is a copy.
_ADDED = re.compile(r"(\.\d{3,})?( \[[^\[\]]*\])?$")


def keeps_properties(item: Any) -> bool:
    """Whether a custom property stays: Blender drops new ones of overrides when it saves."""
    return item.library is None and item.override_library is None


def why_not_kept(scene: bpy.types.Scene, item: Any, key: str) -> str:
    """Why nothing can be kept for an object under a property's name, as a sentence; empty where
    it can."""
    if why := why_unread(scene, item, key):
        return f"{why}, expected a text that Plumbline wrote, or none: rename or delete it first."
    if keeps_properties(item) or scene.is_editable:
        return ""
    return (
        f"The scene {scene.name!r} is linked from another file, expected one of this file: open "
        "that file, or make the scene local."
    )


def why_unread(scene: bpy.types.Scene, item: Any, key: str) -> str:
    """What stands where declarations are kept and is none of ours, as the beginning of a sentence;
    empty where nothing does."""
    block, kind = (item, list) if keeps_properties(item) else (scene, dict)
    return _why(block, key, kind)


def why_unread_on_scene(scene: bpy.types.Scene, key: str) -> str:
    """The same of what a scene keeps for objects that keep no property."""
    return _why(scene, key, dict)


def _why(block: Any, key: str, kind: type) -> str:
    found = block.get(key)
    if found is None or found == "" or isinstance(_parsed(found), kind):
        return ""
    return f"The property {key} of {block.name!r} is {shown_value(found)}"


def entries_of(scene: bpy.types.Scene, item: bpy.types.Object, key: str) -> list[Any]:
    """What is kept for an object under a property's name; empty for what nobody of us wrote."""
    if keeps_properties(item):
        found: list[Any] = _read(item, key, list)
        return found
    kept = kept_on_scene(scene, key)
    return list(kept.get(_name_in(kept, scene, item), ()))


def keep_entries(
    scene: bpy.types.Scene, item: bpy.types.Object, key: str, entries: Sequence[Any]
) -> None:
    """Keep entries instead of what was kept; none takes the property away."""
    if keeps_properties(item):
        _set(item, key, json.dumps(list(entries)) if entries else "")
        return
    kept = kept_on_scene(scene, key)
    kept.pop(_name_in(kept, scene, item), None)
    if entries:
        kept[item.name_full] = list(entries)
    _set(scene, key, json.dumps(kept) if kept else "")


def kept_on_scene(scene: bpy.types.Scene, key: str) -> dict[str, list[Any]]:
    """Full name -> entries of the objects that keep no property themselves."""
    kept: dict[str, Any] = _read(scene, key, dict)
    return {name: told for name, told in kept.items() if isinstance(told, list)}


def _name_in(kept: Mapping[str, Any], scene: bpy.types.Scene, item: bpy.types.Object) -> str:
    """The name that stands for an object in what the scene keeps: its own, else the one that is of
    nothing any more where both can only mean each other."""
    origin = _origin(item)
    if item.name_full in kept or all(_ADDED.sub("", name) != origin for name in kept):
        return item.name_full
    there = {each.name_full: each for each in scene.objects}
    lost = [name for name in kept if name not in there and _ADDED.sub("", name) == origin]
    alike = [
        name
        for name, each in there.items()
        if name not in kept and not keeps_properties(each) and _origin(each) == origin
    ]
    return lost[0] if len(lost) == 1 and alike == [item.name_full] else item.name_full


def _origin(item: bpy.types.Object) -> str:
    """What a linked object, or the one that an override is of, is called in its library."""
    override = item.override_library
    reference = None if override is None else override.reference
    return _ADDED.sub("", item.name if reference is None else reference.name)


def _set(block: Any, key: str, text: str) -> None:
    if text:
        block[key] = text
    elif block.get(key) is not None:
        del block[key]


def _read(block: Any, key: str, kind: type) -> Any:
    found = _parsed(block.get(key))
    return found if isinstance(found, kind) else kind()


def _parsed(value: Any) -> Any:
    """The JSON value of a text; None for what is none."""
    try:
        return json.loads(value) if isinstance(value, str) else None
    except (ValueError, RecursionError):
        return None


def shown_value(value: Any) -> str:
    """What a custom property holds, in words."""
    if isinstance(value, str):
        return f"the text {value if len(value) <= _LONG else f'{value[: _LONG - 3]}...'!r}"
    if isinstance(value, (bool, int, float)):
        return f"the value {value}"
    if isinstance(value, list) or hasattr(value, "to_list"):
        return "a list of values"
    return "a group of values" if hasattr(value, "to_dict") else "no text"
