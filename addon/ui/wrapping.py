# SPDX-License-Identifier: GPL-3.0-or-later
"""Sentences in panels: Blender cuts a label that is too long, so it is broken into lines."""

from functools import lru_cache
from typing import Any

import blf
import bpy

from ...analysis.plain_text import TIE, tied
from .preferences import is_imperial
from .room import empty_rows
from .units import in_feet

# What a panel's margins, its tabs, a box and an icon take, in unscaled pixels.
_MARGIN = 68
_ICON = 22


def draw_text(
    context: bpy.types.Context,
    layout: Any,
    text: str,
    *,
    icon: str = "NONE",
    own: bool = False,
    width: int = 0,
    hold: tuple[str, Any] | None = None,
    room_for: str = "",
    faint: bool = False,
) -> None:
    """Draw a sentence over as many lines as the region's width needs, or a dialog's `width`, in the
    user's units; what users wrote themselves (`own`) is drawn as it is. `hold`: its place, and what
    it is about, where it keeps the room that it had, see `room.empty_rows`; it may be empty then,
    and `room_for` is what it makes room for besides.
    """
    text = text if own else shown_text(context, text)
    scale = context.preferences.system.ui_scale
    wide = width * scale or context.region.width
    room = wide - (_MARGIN + (_ICON if icon != "NONE" else 0)) * scale
    points = context.preferences.ui_styles[0].widget.points
    lines = _lines(text, room, points * scale) if text or hold is None else []
    if hold is not None:
        least = len(_lines(room_for, room, points * scale)) if room_for else 0
        lines += [""] * empty_rows(context, *hold, len(lines), least=least)
    if not lines:
        return
    column = layout.column(align=True)
    column.scale_y, column.active = 0.8, not faint
    for number, line in enumerate(lines):
        shown = icon if number == 0 else ("BLANK1" if icon != "NONE" else "NONE")
        column.label(text=line, icon=shown, translate=False)


def shown_text(context: bpy.types.Context, text: str) -> str:
    """A sentence in the units that the user prefers."""
    if not is_imperial(context):
        return text
    return in_feet(text, (item.name for item in bpy.data.objects))


def text_width(context: bpy.types.Context, text: str) -> float:
    """How many pixels a text takes in a panel, at the user's scale and size of letters."""
    points = context.preferences.ui_styles[0].widget.points
    return _width(text, points * context.preferences.system.ui_scale)


@lru_cache(maxsize=1024)
def _width(text: str, size: float) -> float:
    blf.size(0, size)
    width: Any = blf.dimensions(0, text)
    return float(width[0])


def _lines(text: str, room: float, size: float) -> list[str]:
    """Break at spaces, but not before a unit, so that each line fits `room` pixels at a size."""
    blf.size(0, size)
    lines = [""]
    for word in tied(" ".join(text.split())).split(" "):
        longer = f"{lines[-1]} {word}".strip()
        width: Any = blf.dimensions(0, longer)
        if lines[-1] and width[0] > room:
            lines.append(word)
        else:
            lines[-1] = longer
    return [line.replace(TIE, " ") for line in lines]
