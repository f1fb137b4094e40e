# SPDX-License-Identifier: GPL-3.0-or-later
"""Adds the drawing to all viewports, and takes it away again."""

from typing import Any

import bpy

from ..ui import notes_shown
from . import draw, note_lines, updated

_added: list[Any] = []


def register() -> None:
    """Draw in every 3D viewport from now on."""
    updated.register()
    for function, region, when in (
        (draw.draw_scene, "WINDOW", "POST_VIEW"),
        (note_lines.draw, "WINDOW", "POST_VIEW"),
        (draw.draw_pixels, "WINDOW", "POST_PIXEL"),
        (draw.make_way, "HUD", "POST_PIXEL"),
    ):
        handle = bpy.types.SpaceView3D.draw_handler_add(function, (), region, when)
        _added.append((handle, region))


def unregister() -> None:
    """Draw no more, and keep nothing."""
    while _added:
        bpy.types.SpaceView3D.draw_handler_remove(*_added.pop())
    updated.unregister()
    draw.forget()
    notes_shown.forget()
