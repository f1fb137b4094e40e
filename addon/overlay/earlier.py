# SPDX-License-Identifier: GPL-3.0-or-later
"""The earlier pass as a thin trail without colours, as arrays: no GPU, no view."""

from typing import Any

import numpy as np

from ..ui.earlier_pass import earlier_of
from ..ui.last_check import LastCheck
from . import marks, strokes
from .choice import Choice
from .look import Look
from .render_data import chosen_spots, placed
from .sheets import Sheet

# Unscaled pixels; the dots are a share of the trails'.
_LINE, _DOT_SHARE = 1.1, 0.6
_LINE_ALPHA, _DOT_ALPHA = 0.5, 0.8
# A step is drawn without its ends, so that each frame shows in the line as well.
_FROM, _TO = 0.2, 0.8


def earlier_sheet(check: LastCheck, choice: Choice, look: Look) -> Sheet:
    """A dashed line with a small dot a frame for each part that is drawn, where the pass before
    had it; nothing where there was none."""
    lines, dots = [], []
    for frames, points in earlier_paths(check, choice):
        tint = look.mark[:3]
        shape = (look.dot * _DOT_SHARE, 0.0, 0.0, 0.0)
        dots.append(marks.marks(points, (*tint, _DOT_ALPHA), shape, frames))
        lines.append(steps(frames, points, (*tint, _LINE_ALPHA)))
    return Sheet(dots=marks.joined(dots), fine=strokes.joined(lines), dot_now=True)


def earlier_paths(check: LastCheck, choice: Choice) -> list[tuple[Any, Any]]:
    """(frames (N,), points (N,3) as they are drawn) of each part that the pass before followed
    too."""
    before = earlier_of(check)
    if before is None:
        return []
    found = []
    for spot in chosen_spots(check.examination, choice):
        path = before.path(spot)
        if path is not None and len(path[0]):
            frames, places = path
            points, ahead = placed(check, choice, frames, places * check.metres_per_unit)
            found.append((frames[ahead], points[ahead]))
    return found


def steps(frames: Any, points: Any, colour: Any) -> strokes.Strokes:
    """The middle of each step from a frame to the next; none bridges a gap."""
    if len(frames) < 2:
        return strokes.joined(())
    step = np.diff(points, axis=0)
    ends = np.stack((points[:-1] + _FROM * step, points[:-1] + _TO * step), axis=1)
    times = np.stack((frames[:-1], frames[1:]), axis=1)
    gaps = np.diff(frames)
    whole = gaps <= 1.5 * gaps.min()
    return strokes.strokes(ends[whole], colour, _LINE, times[whole])
