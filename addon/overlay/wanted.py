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
from .screen import View

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


def view_key(region: Any, data: Any, scale: float, free: Any = None) -> tuple[Any, ...]:
    """What a region's picture hangs on, as a value to compare."""
    matrix = tuple(number for row in data.perspective_matrix for number in row)
    return (region.width, region.height, scale, free, matrix)


def view_of(region: Any, data: Any, scale: float, free: Any = None) -> View:
    """A region of a viewport as plain numbers."""
    return View(
        perspective=np.array(data.perspective_matrix, dtype=np.float64),
        turn=np.array(data.view_matrix, dtype=np.float64),
        width=region.width,
        height=region.height,
        scale=scale,
        free=free,
    )


def free_part(area: Any, region: Any) -> tuple[float, float, float, float]:
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
