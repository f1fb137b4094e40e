# SPDX-License-Identifier: GPL-3.0-or-later
"""Frame handlers of other add-ons and of scripts, which rest while a temporary scene is stepped."""

import inspect
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import bpy

# The extension's package, whose name depends on how it is installed.
_OURS = __name__.rpartition(".addon.")[0]


@contextmanager
def handlers_at_rest() -> Iterator[list[str]]:
    """Keep frame handlers from running: they would act on the user's scene.

    Gives the names of those that neither Blender nor this extension brought. One of them may
    be what poses a rig, which a temporary scene then does not show.
    """
    lists = (bpy.app.handlers.frame_change_pre, bpy.app.handlers.frame_change_post)
    before = [list(each) for each in lists]
    foreign = [handler for handlers in before for handler in handlers if _is_foreign(handler)]
    names = sorted({_name(handler) for handler in foreign})
    for each in lists:
        each[:] = []
    try:
        yield names
    finally:
        for each, handlers in zip(lists, before, strict=True):
            each[:] = handlers


def _is_foreign(handler: Callable[..., Any]) -> bool:
    if _module(handler).startswith(f"{_OURS}."):
        return False
    try:
        file = inspect.getfile(inspect.unwrap(handler))
    except (TypeError, OSError):  # built in, or an object that is called
        return True
    return Path(bpy.utils.system_resource("SCRIPTS")) not in Path(file).parents


def _name(handler: Callable[..., Any]) -> str:
    name = getattr(handler, "__qualname__", type(handler).__name__)
    return f"{_module(handler) or 'a script'}.{name}"


def _module(handler: Callable[..., Any]) -> str:
    """Where a handler was made; empty for one that `exec` made, or that is built in."""
    return getattr(handler, "__module__", None) or ""
