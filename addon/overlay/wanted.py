# SPDX-License-Identifier: GPL-3.0-or-later
"""What a viewport is to show now, read from the session: nothing here needs the GPU.

Everything that is built hangs on small values that are compared (`Wanted`), so that a redraw in
which nothing has changed costs a few comparisons.
"""

from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ..ui import last_check
from ..ui.last_check import LastCheck
from .choice import Choice, choice_of, span_of
from .render_data import Picture, build_picture
from .screen import Box, View

# Unscaled pixels (width, height) of what Blender draws into the upper corners.
_TEXTS, _STATISTICS = (230, 64), (230, 190)
_BALL, _BUTTONS = (108, 104), (52, 236)
_picture: dict[Choice, Picture] = {}


@dataclass(frozen=True)
class Wanted:
    """choice    which trails
    span      which frames, None for all
    playhead  the current frame
    """

    choice: Choice
    span: tuple[float, float] | None
    playhead: float


def wanted(session: Any, scene: bpy.types.Scene) -> Wanted | None:
    """What to draw in a scene; None where trails are off, or where it was not checked."""
    check = last_check.last_check()
    if check is None or not session.trails.show or not check.is_of(scene):
        return None
    playhead = float(scene.frame_current_final)
    return Wanted(choice_of(session, check), span_of(session, playhead), playhead)


def picture_of(check: LastCheck, choice: Choice) -> Picture:
    """The arrays of a choice, built when it is new."""
    if choice not in _picture:
        _picture.clear()
        _picture[choice] = build_picture(check, choice)
    return _picture[choice]


def full_speed_of(session: Any) -> float:
    """The speed in m/s that the bright end of the colours stands for; 0 where nothing is drawn."""
    check = last_check.last_check()
    return 0.0 if check is None else picture_of(check, choice_of(session, check)).full_speed


def forget() -> None:
    """Drop the arrays."""
    _picture.clear()


def view_key(
    region: Any, data: Any, scale: float, free: Any = None, taken: Any = ()
) -> tuple[Any, ...]:
    """What a region's picture hangs on, as a value to compare."""
    matrix = tuple(number for row in data.perspective_matrix for number in row)
    return (region.width, region.height, scale, free, taken, matrix)


def view_of(region: Any, data: Any, scale: float, free: Any = None, taken: Any = ()) -> View:
    """A region of a viewport as plain numbers."""
    return View(
        perspective=np.array(data.perspective_matrix, dtype=np.float64),
        turn=np.array(data.view_matrix, dtype=np.float64),
        width=region.width,
        height=region.height,
        scale=scale,
        free=free,
        taken=taken,
    )


def taken_parts(space: Any, free: Box, scale: float) -> tuple[Box, ...]:
    """The boxes in the upper corners of a region's free part that Blender draws into."""
    left, _bottom, right, top = free
    found = []
    overlay = space.overlay
    if overlay.show_overlays and (overlay.show_text or overlay.show_stats):
        width, height = _STATISTICS if overlay.show_stats else _TEXTS
        found.append((left, top - height * scale, left + width * scale, top))
    if space.show_gizmo and space.show_gizmo_navigate:
        for width, height in (_BALL, _BUTTONS):
            found.append((right - width * scale, top - height * scale, right, top))
    return tuple(found)


def free_part(area: Any, region: Any) -> Box:
    """(left, bottom, right, top) of a region that sidebar, tools and headers do not cover."""
    left, bottom, right, top = 0, 0, region.width, region.height
    for other in area.regions:
        if other.width <= 1 or other.height <= 1:
            continue
        x, y = other.x - region.x, other.y - region.y
        if other.type == "UI" and x > 0:
            right = min(right, x)
        elif other.type == "TOOLS" and x <= 0:
            left = max(left, x + other.width)
        elif other.type in ("HEADER", "TOOL_HEADER") and y > 0:
            top = min(top, y)
    return (float(left), float(bottom), float(right), float(top))
