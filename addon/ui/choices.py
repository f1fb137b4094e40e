# SPDX-License-Identifier: GPL-3.0-or-later
"""What is chosen before a check: the rows above the button."""

from pathlib import Path
from typing import Any

import bpy

from ...analysis.words import capital, frames_text
from ..sampling.cameras import unread_cameras
from .asked import style_file
from .choice_properties import OWN
from .house_style import draw_style
from .preferences import preferences_of
from .session import session_of, told_height
from .wrapping import draw_text

# What a file remembers of the choices, in the order in which they are set: a rig has a height.
KEPT = (
    "rig",
    "cycle",
    "stage",
    "space",
    "height_m",
    "own_tolerance",
    "first_frame",
    "last_frame",
    "range_of",
    "style_path",
)


_PLAYS = {"yes": "loop", "no": "once"}


def draw_choices(context: bpy.types.Context, layout: Any, session: Any) -> None:
    """Which rig at which stage, always; the rest is folded, and what of it is unusual is said."""
    column = _rows(layout)
    column.prop(session, "rig", icon="ARMATURE_DATA", placeholder="Active rig or object")
    column.prop(session, "stage")
    header, body = layout.panel("PLUMBLINE_choices", default_closed=True)
    header.label(text="More Choices")
    if body is not None:
        _draw_more(context, _rows(body), session)
    elif told := unusual(context):
        faint = layout.column()
        draw_text(context, faint, told)


def _rows(layout: Any) -> Any:
    column = layout.column()
    column.use_property_split = True
    column.use_property_decorate = False
    return column


def _draw_more(context: bpy.types.Context, column: Any, session: Any) -> None:
    column.prop(session, "range_of")
    if session.range_of == OWN:
        frames = column.column(align=True)
        frames.prop(session, "first_frame")
        frames.prop(session, "last_frame")
    for name in ("cycle", "tolerance"):
        column.prop(session, name)
    draw_style(column, session)
    column.prop(session, "space")
    if session.space == "camera":
        draw_panoramic(context, column)
    column.prop(session, "height_m")


def draw_panoramic(context: bpy.types.Context, layout: Any) -> None:
    """That the scene's camera is taken otherwise than it is, where it is."""
    camera = context.scene.camera
    for told in unread_cameras([camera] if camera is not None and camera.type == "CAMERA" else []):
        draw_text(context, layout, told, icon="INFO")


def unusual(context: bpy.types.Context) -> str:
    """`Loop, strict, frames 20 to 60.`: what of the folded choices is not as it begins."""
    session = session_of(context)
    told = [_PLAYS.get(session.cycle, "")]
    if session.tolerance != preferences_of(context).tolerance:
        told.append(session.tolerance)
    if session.range_of == OWN:
        told.append(frames_text(session.first_frame, session.last_frame))
    if session.style_path:
        told.append(f"like {Path(style_file(session)).stem}")
    if session.space == "camera":
        told.append("as the camera sees it")
    if height := told_height(session):
        told.append(f"{height:g} m tall")
    line = ", ".join(filter(None, told))
    return f"{capital(line)}." if line else ""
