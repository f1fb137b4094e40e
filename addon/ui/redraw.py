# SPDX-License-Identifier: GPL-3.0-or-later
"""Asks Blender to draw again what shows our answers."""

import bpy


def redraw_viewports(context: bpy.types.Context) -> None:
    """Draw every 3D viewport of every window again."""
    for window in context.window_manager.windows:
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                area.tag_redraw()


def redraw_sidebars(context: bpy.types.Context) -> None:
    """Draw every sidebar again, and not the viewport beside it, which takes longer."""
    for window in context.window_manager.windows:
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                for region in area.regions:
                    if region.type == "UI":
                        region.tag_redraw()
