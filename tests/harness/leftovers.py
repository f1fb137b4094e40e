# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside Blender: what the extension has registered and not taken back when it is disabled.

A leftover class or handler makes Blender's module crash or hang at exit, and in a window it runs
code of an add-on that the user has switched off.
"""

import functools
from collections.abc import Callable, Iterator
from typing import Any

import bpy

from .extension import PACKAGE
from .staging import EXTENSION_ID

_DRAWN_IN = (
    "SpaceView3D",
    "SpaceGraphEditor",
    "SpaceDopeSheetEditor",
    "SpaceNLA",
    "SpaceProperties",
)


class Ledger:
    """Make it before the extension is enabled; ask for `leftovers` after it was disabled.

    Blender lists handlers, classes and properties. Timers, draw handlers and commands it does
    not, so their functions are wrapped to note who comes and goes.
    """

    def __init__(self) -> None:
        self._open: dict[Any, str] = {}
        self._before = set(_properties())
        self._own_properties: set[str] = set()
        self._watch(bpy.app.timers, "register", "unregister", "timer")
        if hasattr(bpy.utils, "register_cli_command"):
            self._watch(bpy.utils, "register_cli_command", "unregister_cli_command", "command")
        for name in _DRAWN_IN:
            space = getattr(bpy.types, name)
            self._watch(space, "draw_handler_add", "draw_handler_remove", f"{name} draw handler")

    def note_enabled(self) -> None:
        """The properties that are new now are the extension's, not another add-on's."""
        self._own_properties = set(_properties()) - self._before

    def leftovers(self) -> list[str]:
        """One line for each thing that is still registered."""
        properties = self._own_properties & set(_properties())
        return [
            *(f"handler {name}" for name in _handlers()),
            *(f"class {name}" for name in _classes()),
            *(f"property {name}" for name in sorted(properties)),
            *(f"menu entry {name}" for name in _menu_entries()),
            *(f"key {name}" for name in _keys()),
            *(text for key, text in self._open.items() if not _timer_has_ended(key)),
        ]

    def _watch(self, owner: Any, add_name: str, remove_name: str, kind: str) -> None:
        add, remove = getattr(owner, add_name), getattr(owner, remove_name)

        def adding(*args: Any, **kwargs: Any) -> Any:
            handle = add(*args, **kwargs)
            function = next((arg for arg in (*args, *kwargs.values()) if callable(arg)), None)
            if _is_ours(function):
                key = function if handle is None else handle
                self._open[key] = f"{kind} {_name(function)}"
            return handle

        def removing(handle: Any, *args: Any, **kwargs: Any) -> Any:
            result = remove(handle, *args, **kwargs)
            self._open.pop(handle, None)
            return result

        setattr(owner, add_name, _unbound(owner, adding))
        setattr(owner, remove_name, _unbound(owner, removing))


def _unbound(owner: Any, function: Callable[..., Any]) -> Any:
    return staticmethod(function) if isinstance(owner, type) else function


def _timer_has_ended(key: Any) -> bool:
    """A timer ends by itself when its function returns None; handles of others are no functions."""
    return callable(key) and not bpy.app.timers.is_registered(key)


def _is_ours(thing: Any) -> bool:
    while isinstance(thing, functools.partial):
        thing = thing.func
    module = getattr(thing, "__module__", None) or ""
    return module == PACKAGE or module.startswith(PACKAGE + ".")


def _name(thing: Any) -> str:
    while isinstance(thing, functools.partial):
        thing = thing.func
    return f"{thing.__module__.removeprefix(PACKAGE + '.')}.{thing.__qualname__}"


def _handlers() -> Iterator[str]:
    for name in dir(bpy.app.handlers):
        functions = getattr(bpy.app.handlers, name)
        if isinstance(functions, list):
            yield from (f"{name} {_name(each)}" for each in functions if _is_ours(each))


def _classes() -> Iterator[str]:
    for cls in _subclasses(bpy.types.bpy_struct):
        if _is_ours(cls) and "bl_rna" in vars(cls):  # unregistering takes bl_rna away
            yield _name(cls)


def _subclasses(cls: type) -> Iterator[type]:
    for each in cls.__subclasses__():
        yield each
        yield from _subclasses(each)


def _properties() -> Iterator[str]:
    """Properties that scripts have added to Blender's own types, such as Scene."""
    for name in dir(bpy.types):
        rna = getattr(getattr(bpy.types, name), "bl_rna", None)
        for prop in rna.properties if rna else ():
            if prop.is_runtime:
                yield f"{name}.{prop.identifier}"


def _menu_entries() -> Iterator[str]:
    for name in dir(bpy.types):
        draw = getattr(getattr(bpy.types, name), "draw", None)
        functions = getattr(draw, "_draw_funcs", ())
        yield from (f"{name} {_name(each)}" for each in functions if _is_ours(each))


def _keys() -> Iterator[str]:
    config = bpy.context.window_manager.keyconfigs.addon
    for keymap in config.keymaps if config else ():
        for item in keymap.keymap_items:
            if item.idname.startswith(f"{EXTENSION_ID}."):
                yield f"{keymap.name} {item.idname}"
