# SPDX-License-Identifier: GPL-3.0-or-later
"""The table of a ball's arcs, as it is drawn."""

from collections.abc import Sequence
from typing import Any

import bpy

from ..ui.session import session_of
from ..ui.wrapping import draw_text, shown_text
from ..watch.state import why_shown

NONE = {
    "up": "It neither rises nor falls by enough.",
    "side": "It does not go from side to side by enough.",
    "ahead": "It does not go to and fro by enough.",
}
MOST_ROWS = 5
# By axis, the columns' names.
COLUMNS = {
    "up": ("Frames", "Near top", "Falls", "Misses"),
    "side": ("Frames", "Near turn", "Foot"),
    "ahead": ("Frames", "Near turn"),
}


class PLUMBLINE_UL_arcs(bpy.types.UIList):
    """Frames, share of time near the top, fall, landing; the sentence stands below."""

    def draw_item(
        self,
        context: Any,
        layout: Any,
        data: Any,
        item: Any,
        _icon: int,
        _active_data: Any,
        _active_property: str,
        _index: int = 0,
        _flags: int = 0,
    ) -> None:
        """One row, of as many columns as the axis has."""
        texts = (item.frames, item.share, item.force, shown_text(context, item.lands))
        draw_row(layout, texts[: len(COLUMNS[data.axis])])

    def draw_filter(self, _context: Any, _layout: Any) -> None:
        """Rows are few and in time's order."""


def draw_row(layout: Any, texts: Sequence[str]) -> None:
    """Texts in columns of one width."""
    row = layout.row(align=True)
    for text in texts:
        row.label(text=text, translate=False)


def draw_arcs(context: bpy.types.Context, layout: Any) -> None:
    """The switch, the table, and the sentence of the row that is picked."""
    arcs = session_of(context).arcs
    layout.active = not why_shown(context)  # answers that are old are drawn faint
    layout.row(align=True).prop(arcs, "axis", expand=True)
    if not len(arcs.rows):
        draw_text(context, layout, NONE[arcs.axis])
        return
    head = layout.column(align=True)
    draw_row(head, COLUMNS[arcs.axis])
    rows = min(len(arcs.rows), MOST_ROWS)
    head.template_list(
        "PLUMBLINE_UL_arcs", "", arcs, "rows", arcs, "active", rows=rows, maxrows=MOST_ROWS
    )
    if 0 <= arcs.active < len(arcs.rows):
        row = arcs.rows[arcs.active]
        draw_text(context, layout, row.says)
        draw_text(context, layout, row.details, faint=True)
