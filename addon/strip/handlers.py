# SPDX-License-Identifier: GPL-3.0-or-later
"""Adds the strip to all viewports, and takes it away again."""

from typing import Any

import bpy

from . import draw

_added: list[Any] = []


def register() -> None:
    """Draw in every 3D viewport from now on."""
    handle = bpy.types.SpaceView3D.draw_handler_add(draw.draw, (), "WINDOW", "POST_PIXEL")
    _added.append(handle)


def unregister() -> None:
    """Draw no more, and keep nothing."""
    while _added:
        bpy.types.SpaceView3D.draw_handler_remove(_added.pop(), "WINDOW")
    draw.forget()
