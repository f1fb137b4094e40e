# SPDX-License-Identifier: GPL-3.0-or-later
"""Switches for the layers of the picture: in the trails' panel, and their defaults."""

from typing import Any

import bpy

from ..overlay.layers import LAYERS, NAMES
from .listed import note_listed
from .redraw import redraw_viewports


def _switches() -> dict[str, Any]:
    return {
        layer.name: bpy.props.BoolProperty(
            name=layer.label,
            description=layer.tooltip,
            default=layer.on,
            update=lambda _self, context: redraw_viewports(context),
        )
        for layer in LAYERS
    }


# Made here and not written as a class: its properties are those of the list of layers.
PlumblineLayers: Any = type(
    "PlumblineLayers",
    (bpy.types.PropertyGroup,),
    {
        "__doc__": "Which layers are drawn.",
        "__module__": __name__,
        "__annotations__": _switches(),
    },
)


def begin_as(layers: Any, preferred: Any) -> None:
    """Switch the layers as other ones are; None: as they are where nobody chose."""
    for name in NAMES:
        if preferred is None:
            layers.property_unset(name)
        else:
            setattr(layers, name, getattr(preferred, name))
    note_listed()


def draw_layers(layout: Any, layers: Any) -> None:
    """Two columns of switches."""
    grid = layout.grid_flow(row_major=True, columns=2, even_columns=True, align=True)
    for name in NAMES:
        grid.prop(layers, name, toggle=True)
