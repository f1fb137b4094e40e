# SPDX-License-Identifier: GPL-3.0-or-later
"""Asks Blender to draw again what shows our answers.

All that is set in our panels asks for it as it is set, by scripts as well: what was read since the
last time holds still.
"""

import bpy

_times = [0]


def times_redrawn() -> int:
    """How often it was asked for so far."""
    return _times[0]


def redraw_viewports(context: bpy.types.Context) -> None:
    """Draw every 3D viewport of every window again."""
    _times[0] += 1
    for window in context.window_manager.windows:
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                area.tag_redraw()


def redraw_sidebars(context: bpy.types.Context) -> None:
    """Draw every sidebar again, and not the viewport beside it, which takes longer."""
    _times[0] += 1
    for window in context.window_manager.windows:
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                for region in area.regions:
                    if region.type == "UI":
                        region.tag_redraw()
