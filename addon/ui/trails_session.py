# SPDX-License-Identifier: GPL-3.0-or-later
"""What is picked in the trails' panel: on the window manager, never in the user's file."""

from typing import Any

import bpy

from ...analysis.pipeline import Examination
from ...analysis.trails import followed, lead_title
from .listed import note_listed
from .look_preferences import held_look
from .redraw import redraw_viewports
from .trails_layers import PlumblineLayers, begin_as


def _changed(_self: Any, context: bpy.types.Context) -> None:
    redraw_viewports(context)


class PlumblineTrailPart(bpy.types.PropertyGroup):
    """A part that the last check followed, and whether its trail is drawn."""

    title: bpy.props.StringProperty()
    part: bpy.props.StringProperty()
    label: bpy.props.StringProperty()
    shown: bpy.props.BoolProperty(
        name="Trail", description="Draw the path of this part, a dot a frame", update=_changed
    )


class PlumblineTrails(bpy.types.PropertyGroup):
    """Which trails are drawn, and over which frames."""

    show: bpy.props.BoolProperty(
        name="Show Trails",
        description="Draw the paths of parts and the tops of flights in the viewport",
        default=True,
        update=_changed,
    )
    finding: bpy.props.BoolProperty(
        name="Also the Finding's Part",
        description="Also draw the part that shows the finding picked in the list",
        default=True,
        update=_changed,
    )
    span: bpy.props.EnumProperty(
        name="Frames",
        description="How much of the path is drawn",
        items=[
            ("whole", "Whole Range", "All frames that were checked"),
            (
                "around",
                "Around Playhead",
                "Some frames around the current one; quick in long shots",
            ),
        ],
        update=_changed,
    )
    before: bpy.props.IntProperty(
        name="Before",
        description="Frames before the current one",
        default=12,
        min=0,
        soft_max=96,
        update=_changed,
    )
    after: bpy.props.IntProperty(
        name="After",
        description="Frames after the current one",
        default=12,
        min=0,
        soft_max=96,
        update=_changed,
    )
    fade_ahead: bpy.props.BoolProperty(
        name="Fade What Is Ahead",
        description="Draw frames after the current one fainter than those before it",
        default=True,
        update=_changed,
    )
    space: bpy.props.EnumProperty(
        name="Space",
        description="Where the dots of other frames are drawn",
        items=[
            ("check", "As Checked", "Where the last check followed its points"),
            ("world", "World", "Where the point was in the scene"),
            (
                "camera",
                "Camera",
                "Where the camera's picture had the point at that frame, before the camera as "
                "it stands now",
            ),
        ],
        update=_changed,
    )
    layers: bpy.props.PointerProperty(
        type=PlumblineLayers,
        name="Layers",
        description="What is drawn in the viewport",
    )
    parts: bpy.props.CollectionProperty(type=PlumblineTrailPart)


def list_parts(trails: PlumblineTrails, examination: Examination) -> None:
    """List what a check followed. Picks stay where their parts are still there.

    Where none of the picked parts is followed any more (another rig), the lead is picked. A file
    begins with the layers that the user prefers.
    """
    found = followed(examination)
    known = {each.title for each in found}
    if not len(trails.parts):
        begin_as(trails.layers, getattr(held_look(bpy.context), "layers", None))
    picked = {item.title for item in trails.parts if item.shown}
    if not len(trails.parts) or (picked and not picked & known):
        picked = {lead_title(examination)}
    trails.parts.clear()
    for each in found:
        item = trails.parts.add()
        item.title, item.part, item.label = each.title, each.part or "", each.label
        item.shown = each.title in picked
    note_listed()
