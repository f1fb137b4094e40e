# SPDX-License-Identifier: GPL-3.0-or-later
"""Functions that Blender calls after what happens in it, such as an undo."""

from collections.abc import Callable, Sequence
from typing import Any

import bpy

# (name of the list in `bpy.app.handlers`, the function) of each.
Handlers = Sequence[tuple[str, Callable[..., Any]]]


def listen(handlers: Handlers) -> None:
    """Have Blender call them."""
    for name, handler in handlers:
        getattr(bpy.app.handlers, name).append(handler)


def listen_no_longer(handlers: Handlers) -> None:
    """Have Blender call them no more."""
    for name, handler in handlers:
        getattr(bpy.app.handlers, name).remove(handler)
