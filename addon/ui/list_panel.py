# SPDX-License-Identifier: GPL-3.0-or-later
"""The list of findings: the worst on top, then all in order, and what filters leave out."""

from typing import Any

import bpy

from .filters import hidden_text, is_folding, order_for_list, show_all, visible, worst
from .go_to import PLUMBLINE_OT_go_to
from .redraw import redraw_viewports
from .session import session_of
from .steps import PLUMBLINE_OT_step
from .wrapping import draw_text

MOST_ROWS = 6
# Sidebars of fewer pixels, unscaled, have no room for `Left upper arm: hitch`.
NARROW = 250
# Beside what was found before, what is new or has come back; what is still there has no sign.
STATE_ICONS = {"new": "ADD", "back": "LOOP_BACK"}


class PLUMBLINE_UL_findings(bpy.types.UIList):
    """Findings in fixing order: frame and title; the whole sentence stands below the list."""

    def draw_item(
        self,
        context: Any,
        layout: Any,
        data: Any,
        item: Any,
        _icon: int,
        _active_data: Any,
        _active_property: str,
        index: int = 0,
        _flags: int = 0,
    ) -> None:
        """One line; the frame is a button that goes there.

        In a narrow sidebar the part and what it does come before all else: fewer pixels for the
        frame, sides by their letters, and what is minor is faint instead of having an icon. Lines
        that go with another one's cause stand behind a gap, and that one has a triangle.
        """
        narrow, folding = is_narrow(context), is_folding(data)
        row = layout.row(align=True)
        if folding and item.leader >= 0:
            row.label(text="", icon="BLANK1")
        frame = row.row()
        frame.ui_units_x = 1.8 if narrow else 2.6
        frame.operator(PLUMBLINE_OT_go_to.bl_idname, text=item.frame_text).index = index
        if folding and item.folds:
            icon = "DOWNARROW_HLT" if item.open else "RIGHTARROW"
            row.prop(item, "open", text="", icon=icon, emboss=False)
        title = row.row()
        title.active = not item.reason and (item.major or not narrow)
        if narrow:
            title.label(text=brief(item.title), translate=False)
        else:
            # Triangles, gaps and signs take their room from the words.
            words = brief(item.title) if folding or item.state in STATE_ICONS else item.title
            title.label(text=words, icon="ERROR" if item.major else "DOT", translate=False)
        if item.woken:
            row.label(text="", icon="INFO")
        elif item.state in STATE_ICONS:
            row.label(text="", icon=STATE_ICONS[item.state])

    def draw_filter(self, context: Any, layout: Any) -> None:
        """The search, opened by the triangle at the list's foot."""
        layout.prop(session_of(context).filters, "search", text="", icon="VIEWZOOM")

    def filter_items(self, _context: Any, data: Any, name: str) -> tuple[list[int], list[int]]:
        """Folded lines and what is filtered away are out of sight."""
        bit, shown = self.bitflag_filter_item, set(visible(data))
        flags = [bit if number in shown else 0 for number in range(len(getattr(data, name)))]
        return flags, order_for_list(data)


class PLUMBLINE_OT_show_all(bpy.types.Operator):
    """List again what the filters leave out"""

    bl_idname = "plumbline.show_all"
    bl_label = "Show All"
    bl_options = {"INTERNAL"}  # noqa: RUF012 - Blender reads this from the class

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Reset the filters."""
        show_all(session_of(context).filters)
        redraw_viewports(context)
        return {"FINISHED"}


class PLUMBLINE_PT_filters(bpy.types.Panel):
    """Choose which findings are listed"""

    bl_label = "Filters"
    bl_idname = "PLUMBLINE_PT_filters"
    bl_space_type = "VIEW_3D"
    bl_region_type = "HEADER"  # so that it stands in no sidebar
    bl_ui_units_x = 11

    def draw(self, context: bpy.types.Context) -> None:
        """All filters, and what they leave out."""
        filters = session_of(context).filters
        column = self.layout.column()
        column.row(align=True).prop(filters, "groups")
        column.prop(filters, "state", text="")
        column.prop(filters, "major")
        column.prop(filters, "intended")
        column.prop(filters, "search", text="", icon="VIEWZOOM")


def draw_list(context: bpy.types.Context, layout: Any, session: Any) -> None:
    """The worst, the list, and what is left out of it."""
    _draw_worst(context, layout, session)
    row = layout.row(align=True)
    row.prop(session.filters, "order", text="")
    row.popover(PLUMBLINE_PT_filters.bl_idname, text="", icon="FILTER")
    for back, icon in ((True, "TRIA_UP"), (False, "TRIA_DOWN")):
        row.operator(PLUMBLINE_OT_step.bl_idname, text="", icon=icon).back = back
    shown = len(visible(session))
    rows = max(min(shown, MOST_ROWS), 1)
    layout.template_list(
        "PLUMBLINE_UL_findings", "", session, "findings", session, "active", rows=rows
    )
    if hidden := hidden_text(session):
        draw_text(context, layout, hidden)
        layout.operator(PLUMBLINE_OT_show_all.bl_idname)


def _draw_worst(context: bpy.types.Context, layout: Any, session: Any) -> None:
    """A row for each of the worst; a list that is as short as this box needs none."""
    numbers = worst(session)
    if not numbers:
        return
    column = layout.box().column(align=True)
    column.label(text="Worst Three")
    for number in numbers:
        line = session.findings[number]
        halves = column.split(factor=0.16, align=True)
        halves.label(text=line.frame_text, translate=False)
        title = halves.row(align=True)
        title.alignment = "LEFT"
        button = title.operator(
            PLUMBLINE_OT_go_to.bl_idname,
            text=brief(line.title) if is_narrow(context) else line.title,
            translate=False,
            emboss=number == session.active,
        )
        button.index = number


def is_narrow(context: bpy.types.Context) -> bool:
    """Whether a sidebar has no room for a whole title beside an icon."""
    return context.region.width < NARROW * context.preferences.system.ui_scale


def brief(title: str) -> str:
    """`L foot: slide` for `Left foot: slide`."""
    for long, short in (("Left ", "L "), ("Right ", "R "), ("Whole body: ", "Body: ")):
        if title.startswith(long):
            return short + title.removeprefix(long)
    return title
