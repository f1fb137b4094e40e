# SPDX-License-Identifier: GPL-3.0-or-later
"""The trails' panels: which parts, which frames, off in one click."""

from collections.abc import Sequence
from typing import Any

import bpy

from ...analysis.parts import SIDES, label, split_part
from ...analysis.trails import COM
from ...analysis.words import capital, speed_text
from ..overlay.layers import LAYERS
from ..overlay.look import look_now
from ..overlay.told_sheets import has_ruler
from ..overlay.wanted import camera_of, full_speed_of, has_camera
from . import last_check
from .choices import draw_panoramic
from .panel import SidePanel
from .preferences import is_imperial
from .session import session_of
from .trails_layers import draw_layers
from .wrapping import draw_text

# What is followed by eye; the other parts stand in a panel of their own.
USUAL = ("root", "chest", "head", "hand", "foot", "toe", "prop")
NO_CAMERA = "Dots stand in the world: the scene has no camera. Give it one and check again."
UNSEEN_CAMERA = "Dots stand in the world: the check saw no camera. Check again."
NO_RULER = "There is no ruler: the body stays about where it is."
# Of a rig whose parts are not known, so many points are listed before the others.
MOST_UNKNOWN = 8


class _TrailsPanel(SidePanel):
    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only while there is a check to draw, of this scene."""
        check = last_check.last_check()
        return check is not None and check.is_of(context.scene)


class PLUMBLINE_PT_trails(_TrailsPanel, bpy.types.Panel):
    """Show, parts, frames."""

    bl_label = "Trails"
    bl_idname = "PLUMBLINE_PT_trails"
    bl_parent_id = "PLUMBLINE_PT_check"

    def draw_header(self, context: bpy.types.Context) -> None:
        """Off in one click."""
        self.layout.prop(session_of(context).trails, "show", text="")

    def draw(self, context: bpy.types.Context) -> None:
        """Draw what is stored."""
        session = session_of(context)
        trails, layout = session.trails, self.layout
        layout.active = trails.show
        usual, _others = split_parts(trails.parts)
        draw_parts(layout, usual)
        layout.prop(trails, "finding")
        _draw_span(layout, trails)
        _draw_space(context, layout, trails)
        full = full_speed_of(context, session)
        if full > 0.0 and trails.layers.trails:
            still, fast = ("Bright", "dark") if look_now().reverse else ("Dark", "bright")
            told = f"{still} is still, {fast} is {speed_text(full)} or faster."
            told += " A ring marks a finding."
            draw_text(context, layout, told)


class PLUMBLINE_PT_trails_layers(_TrailsPanel, bpy.types.Panel):
    """What is drawn besides the trails."""

    bl_label = "Layers"
    bl_idname = "PLUMBLINE_PT_trails_layers"
    bl_parent_id = "PLUMBLINE_PT_trails"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012

    def draw_header_preset(self, context: bpy.types.Context) -> None:
        """How many are on, where the panel is folded."""
        layers = session_of(context).trails.layers
        on = sum(getattr(layers, layer.name) for layer in LAYERS)
        self.layout.label(text=f"{on} of {len(LAYERS)}", translate=False)

    def draw(self, context: bpy.types.Context) -> None:
        """A switch for each."""
        trails = session_of(context).trails
        self.layout.active = trails.show
        draw_layers(self.layout, trails.layers)
        check = last_check.last_check()
        if check and trails.layers.ruler and not has_ruler(check, imperial=is_imperial(context)):
            draw_text(context, self.layout, NO_RULER)


class PLUMBLINE_PT_trails_more(_TrailsPanel, bpy.types.Panel):
    """The parts that are seldom followed by eye."""

    bl_label = "More Parts"
    bl_idname = "PLUMBLINE_PT_trails_more"
    bl_parent_id = "PLUMBLINE_PT_trails"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where there are more."""
        return super().poll(context) and bool(split_parts(session_of(context).trails.parts)[1])

    def draw(self, context: bpy.types.Context) -> None:
        """The remaining parts."""
        trails = session_of(context).trails
        self.layout.active = trails.show
        draw_parts(self.layout, split_parts(trails.parts)[1])


def split_parts(parts: Sequence[Any]) -> tuple[list[Any], list[Any]]:
    """The parts that are usually followed, and the others; each in fixing order."""
    usual: list[Any] = []
    others: list[Any] = []
    for item in parts:
        known = item.title == COM or split_part(item.part)[0] in USUAL
        few = not item.part and item.title != COM and len(usual) < MOST_UNKNOWN
        (usual if known or few else others).append(item)
    return usual, others


def draw_parts(layout: Any, parts: Sequence[Any]) -> None:
    """Buttons: one for a part of the middle, a left and a right one for a pair."""
    column = layout.column(align=True)
    for name, items in pair_up(parts):
        if len(items) == 1 and not name:
            column.prop(items[0], "shown", text=items[0].label, toggle=True, translate=False)
            continue
        row = column.split(factor=0.4, align=True)
        row.label(text=name, translate=False)
        sides = row.row(align=True)
        for item in items:
            side = "Left" if item.part.endswith(".L") else "Right"
            sides.prop(item, "shown", text=side, toggle=True)


def pair_up(parts: Sequence[Any]) -> list[tuple[str, list[Any]]]:
    """Rows of the list: ("Hand", [left, right]), or ("", [root]) for a part without a side."""
    rows: list[tuple[str, list[Any]]] = []
    for item in parts:
        kind, side = split_part(item.part)
        name = capital(label(kind)) if side in SIDES else ""
        if name and rows and rows[-1][0] == name:
            rows[-1][1].append(item)
        else:
            rows.append((name, [item]))
    return rows


def _draw_span(layout: Any, trails: Any) -> None:
    layout.row().prop(trails, "span", expand=True)
    if trails.span == "around":
        row = layout.row(align=True)
        row.prop(trails, "before")
        row.prop(trails, "after")
    layout.prop(trails, "fade_ahead")


def _draw_space(context: bpy.types.Context, layout: Any, trails: Any) -> None:
    check = last_check.last_check()
    row = layout.row()
    row.prop(trails, "space", expand=True)
    if check is not None and not has_camera(check, context.scene):
        row.enabled = False
        draw_text(context, layout, UNSEEN_CAMERA if context.scene.camera else NO_CAMERA)
    elif check is not None and camera_of(trails, check, context.scene):
        draw_panoramic(context, layout)
