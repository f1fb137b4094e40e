# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys for what is pressed often. They are free in both keymaps that Blender ships, and the user
changes them in the preferences as any key."""

from dataclasses import dataclass, field
from typing import Any

import bpy
import rna_keymap_ui

# Blender's names of keymaps, and of the editors that they belong to.
_VIEW = {"3D View": "VIEW_3D"}
_ANIMATING = {
    **_VIEW,
    "Dopesheet": "DOPESHEET_EDITOR",
    "Graph Editor": "GRAPH_EDITOR",
    "NLA Editor": "NLA_EDITOR",
}


@dataclass(frozen=True, kw_only=True)
class Entry:
    """operator   idname of an operator
    where      keymap -> editor
    key        Blender's name of the key, and the keys held with it
    told       properties that the operator is called with
    """

    operator: str
    where: dict[str, str]
    key: str
    held: tuple[str, ...]
    told: dict[str, Any] = field(default_factory=dict)


ENTRIES = (
    Entry(operator="plumbline.check", where=_ANIMATING, key="C", held=("alt", "shift")),
    Entry(operator="plumbline.step", where=_ANIMATING, key="PERIOD", held=("alt",)),
    Entry(
        operator="plumbline.step",
        where=_ANIMATING,
        key="COMMA",
        held=("alt",),
        told={"back": True},
    ),
    Entry(operator="plumbline.square_view", where=_VIEW, key="V", held=("alt", "shift")),
    Entry(operator="plumbline.view_back", where=_VIEW, key="B", held=("alt", "shift")),
)
_made: list[tuple[Any, Any]] = []


def register() -> None:
    """Add the entries of the operators that are registered; those must be there by now."""
    config: Any = bpy.context.window_manager.keyconfigs.addon
    if config is None:  # a Blender without windows may have none
        return
    for entry in ENTRIES:
        if _is_registered(entry.operator):
            for name, editor in entry.where.items():
                _add(config.keymaps.new(name=name, space_type=editor), entry)


def unregister() -> None:
    """Take them back."""
    while _made:
        keymap, item = _made.pop()
        keymap.keymap_items.remove(item)


def _is_registered(operator: str) -> bool:
    module, name = operator.split(".")
    return hasattr(bpy.types, f"{module.upper()}_OT_{name}")


def _add(keymap: Any, entry: Entry) -> None:
    held = dict.fromkeys(entry.held, True)
    item = keymap.keymap_items.new(entry.operator, entry.key, "PRESS", **held)
    for name, value in entry.told.items():
        setattr(item.properties, name, value)
    _made.append((keymap, item))


def draw_keys(layout: Any) -> None:
    """The user's own copies of the entries, as Blender's keymap editor shows them."""
    config: Any = bpy.context.window_manager.keyconfigs.user
    for name in _ANIMATING:
        keymap = config.keymaps.get(name) if config else None
        items = _ours(keymap)
        if not items:
            continue
        column = layout.box().column()
        column.label(text=name, text_ctxt="WindowManager")
        column.context_pointer_set("keymap", keymap)
        for item in items:
            rna_keymap_ui.draw_kmi([], config, keymap, item, column, 0)


def _ours(keymap: Any) -> list[Any]:
    items = keymap.keymap_items if keymap is not None else ()
    return [item for item in items if item.idname.startswith("plumbline.")]
