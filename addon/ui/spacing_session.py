# SPDX-License-Identifier: GPL-3.0-or-later
"""What is switched on in the spacing panel: on the window manager, never in the user's file."""

from typing import Any

import bpy

from .redraw import redraw_viewports


def _changed(_self: Any, context: bpy.types.Context) -> None:
    redraw_viewports(context)


class PlumblineSpacing(bpy.types.PropertyGroup):
    """The strip in the viewport's corner, and the pass before."""

    strip: bpy.props.BoolProperty(
        name="Spacing Strip",
        description=(
            "Draw a small chart into the viewport's lower left: a bar a frame, as high as the step "
            "that leads to it is fast, for the part of the finding that is read or else the picked "
            "part"
        ),
        default=True,
        update=_changed,
    )
    earlier: bpy.props.BoolProperty(
        name="Earlier Pass",
        description=(
            "Draw the drawn parts thin and without colours as well, where the last check before "
            "your changes had them, a small dot a frame"
        ),
        update=_changed,
    )
