# SPDX-License-Identifier: GPL-3.0-or-later
"""The list of findings: the worst on top, then all in order, and what filters leave out."""

from typing import Any

import bpy

from .filters import hidden_text, is_folding, order_for_list, show_all, visible, worst
from .go_to import PLUMBLINE_OT_go_to
from .redraw import redraw_viewports
from .room import empty_rows
from .session import session_of
from .steps import PLUMBLINE_OT_step
from .wrapping import draw_text, text_width

MOST_ROWS = 6
# Sidebars of fewer pixels, unscaled, have no room for `Left upper arm: hitch`.
NARROW = 250
# Beside what was found before, what is new or has come back; what is still there has no sign.
STATE_ICONS = {"new": "ADD", "back": "LOOP_BACK"}
# What they say, and what else may stand in a line; so many beside each other.
SIGNS = (
    ("DOT", "Minor"),
    ("ADD", "New"),
    ("LOOP_BACK", "Back Again"),
    ("INFO", "Motion Changed"),
)
SIGNS_IN_ROW = 3
# Unscaled pixels of a row that are no title: margins, tabs, frame and icon; and of a sign.
TAKEN, SIGN = 128, 22


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
        """One line; lines that go with another one's cause stand behind a gap, and that one has a
        triangle."""
        folding = is_folding(data)
        row = layout.row(align=True)
        if folding and item.leader >= 0:
            row.label(text="", icon="BLANK1")
        draw_frame(context, row, item, index)
        if folding and item.folds:
            icon = "DOWNARROW_HLT" if item.open else "RIGHTARROW"
            row.prop(item, "open", text="", icon=icon, emboss=False)
        draw_title(context, row, item, short=is_short(context, data))
        if sign := sign_of(item):
            row.label(text="", icon=sign)

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
    rows += empty_rows(context, "list", session.scene_uid, rows)
    layout.template_list(
        "PLUMBLINE_UL_findings",
        "",
        session,
        "findings",
        session,
        "active",
        item_dyntip_propname="tip",
        rows=rows,
    )
    _draw_signs(context, layout, session, narrow=is_narrow(context))
    if hidden := hidden_text(session):
        draw_text(context, layout, hidden)
        layout.operator(PLUMBLINE_OT_show_all.bl_idname)


def _draw_worst(context: bpy.types.Context, layout: Any, session: Any) -> None:
    """A row for each of the worst, as the list has it; a list as short as this box needs none."""
    numbers = worst(session)
    if not numbers:
        return
    column, short = layout.box().column(align=True), is_short(context, session)
    column.label(text="Worst Three")
    for number in numbers:
        row, line = column.row(align=True), session.findings[number]
        draw_frame(context, row, line, number, is_read=number == session.active)
        draw_title(context, row, line, short=short)


def draw_frame(
    context: bpy.types.Context, row: Any, line: Any, number: int, *, is_read: bool = False
) -> None:
    """The frame of a line, a button that goes there; fewer pixels in a narrow sidebar."""
    frame = row.row()
    frame.ui_units_x = 1.8 if is_narrow(context) else 2.6
    name = PLUMBLINE_OT_go_to.bl_idname
    button = frame.operator(name, text=line.frame_text, depress=is_read, translate=False)
    button.index = number


def draw_title(context: bpy.types.Context, row: Any, line: Any, *, short: bool) -> None:
    """What a line is about. In a narrow sidebar the words come before all else: what is minor is
    faint instead of having an icon."""
    narrow, title = is_narrow(context), row.row()
    title.active = not line.reason and (line.major or not narrow)
    icon = "NONE" if narrow else ("ERROR" if line.major else "DOT")
    title.label(text=brief(line.title) if short else line.title, icon=icon, translate=False)


def sign_of(line: Any) -> str:
    """The icon at the end of a line, or empty."""
    return "INFO" if line.woken else STATE_ICONS.get(line.state, "")


def _draw_signs(context: bpy.types.Context, layout: Any, session: Any, *, narrow: bool) -> None:
    """What the signs say that stand in the list, in faint rows of few; none where none stands, but
    while Watch is on, as an update may bring some."""
    lines = [session.findings[number] for number in visible(session)]
    shown = {sign_of(line) for line in lines}
    if not narrow and not all(line.major for line in lines):
        shown.add("DOT")
    told = [(icon, text) for icon, text in SIGNS if icon in shown]
    starts = range(0, len(told), SIGNS_IN_ROW)
    empty = empty_rows(context, "signs", session.scene_uid, len(starts), least=1)
    for first in (*starts, *[len(told)] * empty):
        row = layout.row()
        row.active, row.alignment, row.scale_y = False, "LEFT", 0.8
        for icon, text in told[first : first + SIGNS_IN_ROW]:
            row.label(text=text, icon=icon)
        if first == len(told):
            row.label(text="")


def is_narrow(context: bpy.types.Context) -> bool:
    """Whether a sidebar has no room for a whole title beside an icon."""
    return context.region.width < NARROW * context.preferences.system.ui_scale


def is_short(context: bpy.types.Context, session: Any) -> bool:
    """Whether titles have sides by their letters: all of a list, where one of them has no room."""
    if is_narrow(context):
        return True
    taken = TAKEN + (2 * SIGN if is_folding(session) else 0)
    taken += SIGN if any(sign_of(line) for line in session.findings) else 0
    room = context.region.width - taken * context.preferences.system.ui_scale
    return any(text_width(context, line.title) > room for line in session.findings)


def brief(title: str) -> str:
    """`L foot: slide` for `Left foot: slide`."""
    for long, short in (("Left ", "L "), ("Right ", "R "), ("Whole body: ", "Body: ")):
        if title.startswith(long):
            return short + title.removeprefix(long)
    return title
