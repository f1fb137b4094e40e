# SPDX-License-Identifier: GPL-3.0-or-later
"""The table of a ball's arcs, as it is drawn."""

from typing import Any

import bpy

from ..ui.session import session_of
from ..ui.wrapping import draw_text

NONE = {
    "up": "It neither rises nor falls by enough.",
    "side": "It does not go from side to side by enough.",
    "ahead": "It does not go to and fro by enough.",
}
MOST_ROWS = 5
# Shares of a row: frames, time near the top, and the rest in halves.
_SPLIT = (0.3, 0.36, 0.5)


class PLUMBLINE_UL_arcs(bpy.types.UIList):
    """Frames, share of time near the top, fall, landing; the sentence stands below."""

    def draw_item(
        self,
        _context: Any,
        layout: Any,
        _data: Any,
        item: Any,
        _icon: int,
        _active_data: Any,
        _active_property: str,
        _index: int = 0,
        _flags: int = 0,
    ) -> None:
        """One row of four columns."""
        draw_row(layout, item.frames, item.share, item.force, item.lands)

    def draw_filter(self, _context: Any, _layout: Any) -> None:
        """Rows are few and in time's order."""


def draw_row(layout: Any, *texts: str) -> None:
    """Four texts in columns."""
    rest = layout
    for text, factor in zip(texts, (*_SPLIT, 1.0), strict=True):
        split = rest.split(factor=factor) if factor < 1.0 else rest
        split.label(text=text, translate=False)
        rest = split


def draw_arcs(context: bpy.types.Context, layout: Any) -> None:
    """The switch, the table, and the sentence of the row that is picked."""
    arcs = session_of(context).arcs
    layout.row(align=True).prop(arcs, "axis", expand=True)
    if not len(arcs.rows):
        draw_text(context, layout, NONE[arcs.axis])
        return
    head = layout.column(align=True)
    last = ("Falls", "Misses") if arcs.axis == "up" else ("Pushed by", "")
    draw_row(head, "Frames", "Near top" if arcs.axis == "up" else "Near turn", *last)
    rows = min(len(arcs.rows), MOST_ROWS)
    head.template_list(
        "PLUMBLINE_UL_arcs", "", arcs, "rows", arcs, "active", rows=rows, maxrows=MOST_ROWS
    )
    if 0 <= arcs.active < len(arcs.rows):
        row = arcs.rows[arcs.active]
        draw_text(context, layout, row.says)
        draw_text(context, layout, row.details, faint=True)
