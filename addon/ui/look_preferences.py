# SPDX-License-Identifier: GPL-3.0-or-later
"""How the picture in the viewport looks, for every file: colours, sizes, layers to begin with."""

from typing import Any

import bpy

from ... import __package__ as EXTENSION  # noqa: N812 - the name that Blender knows it by
from ..overlay.look import Look
from .redraw import redraw_viewports
from .trails_layers import PlumblineLayers, begin_as, draw_layers

_USUAL = Look()
# The colours of speed, as `overlay.ramps` has them.
_RAMPS = [
    (
        "cividis",
        "Cividis",
        "From dark blue to yellow: alike to every eye, the colour-blind as well",
    ),
    ("viridis", "Viridis", "From violet over green to yellow"),
    ("plasma", "Plasma", "From blue over red to yellow"),
]
_SPEED = ("ramp", "reverse")
_COLOURS, _SIZES = ("casing", "ring", "text", "mark"), ("line", "dot", "letters")


def _changed(_self: Any, context: bpy.types.Context) -> None:
    redraw_viewports(context)


def _colour(name: str, description: str, usual: tuple[float, ...]) -> Any:
    return bpy.props.FloatVectorProperty(
        name=name,
        description=description,
        subtype="COLOR_GAMMA",
        size=4,
        min=0.0,
        max=1.0,
        default=usual,
        update=_changed,
    )


def _size(name: str, description: str, usual: float, least: float, most: float) -> Any:
    return bpy.props.FloatProperty(
        name=name,
        description=description,
        default=usual,
        min=least,
        max=most,
        step=10,
        precision=1,
        update=_changed,
    )


class PlumblineLook(bpy.types.PropertyGroup):
    """Colours and sizes."""

    casing: _colour(
        "Dark Edge", "The edge that sets lines, dots and texts off from the scene", _USUAL.casing
    )
    ring: _colour(
        "Rings", "Rings around what findings name, suggested places and tops", _USUAL.ring
    )
    text: _colour("Text", "Frame numbers and sentences", _USUAL.text)
    mark: _colour(
        "Floor Marks", "Footprints, the floor ruler, landings and the arrows of pushes", _USUAL.mark
    )
    line: _size("Line Width", "Width of a trail, in pixels", _USUAL.line, 0.5, 8.0)
    dot: _size("Dot Size", "Radius of the dot of a frame, in pixels", _USUAL.dot, 1.0, 10.0)
    letters: _size("Text Size", "Height of texts, in points", _USUAL.letters, 8.0, 32.0)
    ramp: bpy.props.EnumProperty(
        name="Speed",
        description="The colours that tell how fast a point is",
        items=_RAMPS,
        default=_USUAL.ramp,
        update=_changed,
    )
    reverse: bpy.props.BoolProperty(
        name="Dark Is Fast",
        description="Turn the colours of speed round, for scenes with light ground",
        default=_USUAL.reverse,
        update=_changed,
    )
    layers: bpy.props.PointerProperty(
        type=PlumblineLayers,
        name="Layers",
        description="The layers that a file begins with",
    )


class PLUMBLINE_OT_reset_look(bpy.types.Operator):
    """Bring back the colours, sizes and layers that Plumbline came with"""

    bl_idname = "plumbline.reset_look"
    bl_label = "Reset the Look"
    bl_options = {"INTERNAL"}  # noqa: RUF012

    def execute(self, context: bpy.types.Context) -> set[Any]:
        """All of it at once."""
        look = held_look(context)
        if look is not None:
            for name in (*_COLOURS, *_SIZES, *_SPEED):
                look.property_unset(name)
            begin_as(look.layers, None)
            redraw_viewports(context)
        return {"FINISHED"}


def held_look(context: bpy.types.Context) -> Any:
    """The preferred look as Blender holds it; None where the extension runs without preferences."""
    entry: Any = context.preferences.addons.get(EXTENSION)
    held = entry.preferences if entry is not None else None
    return None if held is None else held.look


def draw_look(layout: Any, look: Any) -> None:
    """Colours beside sizes, layers below."""
    row = layout.row()
    row.use_property_split = True
    row.use_property_decorate = False
    for names in (_COLOURS, (*_SIZES, *_SPEED)):
        column = row.column()
        for name in names:
            column.prop(look, name)
    layout.label(text="Layers to Begin With")
    draw_layers(layout, look.layers)
    layout.operator(PLUMBLINE_OT_reset_look.bl_idname)
