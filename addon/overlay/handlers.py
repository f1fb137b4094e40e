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
    for function, when in (
        (draw.draw_scene, "POST_VIEW"),
        (note_lines.draw, "POST_VIEW"),
        (draw.draw_pixels, "POST_PIXEL"),
    ):
        handle = bpy.types.SpaceView3D.draw_handler_add(function, (), "WINDOW", when)
        _added.append(handle)


def unregister() -> None:
    """Draw no more, and keep nothing."""
    while _added:
        bpy.types.SpaceView3D.draw_handler_remove(_added.pop(), "WINDOW")
    updated.unregister()
    draw.forget()
    notes_shown.forget()
