# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball's turns with the foot that pushes it back, and its path turned upright beside it."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from ...analysis.ball.arc import BallArc
from ...analysis.ball.arc_details import NEAR_M
from ...analysis.ball.turned import Turned
from ...analysis.trails import Spot, lead_title, trails_of
from ..sphere.arcs_rows import arcs_of
from ..sphere.copies import Copies
from ..ui.last_check import LastCheck
from . import marks, strokes
from .colours import full_speed, speed_colours
from .look import Look
from .sheets import Note, Sheet, point
from .strokes import with_alpha

# Unscaled pixels.
_THIN, _BAR = 1.2, 18.0
# Shares of the figure's height: an arm of the cross under an extreme, and how far under the path
# that is.
_CROSS, _UNDER = 0.03, 0.06


def upright_sheet(check: LastCheck, copies: Copies, look: Look) -> Sheet:
    """For each turn of the ball a line to the foot that pushes it back; for each upright copy the
    ball's path as the copy goes, a bar at each extreme, and the foot's name under it."""
    every = arcs_of(check)
    arcs = [arc for arc in every if arc.axis != "up"]
    parts = [_feet(check, arcs, look), _errors(check, every, look)]
    for axis, turned in copies:
        parts.append(_copy(check, [arc for arc in arcs if arc.axis == axis], turned, look))
    return Sheet(
        lines=strokes.joined([each.lines for each in parts]),
        dots=marks.joined([each.dots for each in parts]),
        above=marks.joined([each.above for each in parts]),
        notes=tuple(note for each in parts for note in each.notes),
        dot_now=True,
    )


def _feet(check: LastCheck, arcs: Sequence[BallArc], look: Look) -> Sheet:
    """On the path as it is: from each extreme to the foot."""
    unit, lines, notes = check.metres_per_unit, [], []
    for arc in arcs:
        if arc.pushes_from is not None:
            ends = np.array([arc.apex, arc.pushes_from]) / unit
            lines.append(strokes.strokes(ends, look.mark, _THIN, arc.apex_frame))
            notes.append(
                Note(point(arc.pushes_from, unit), (arc.pushes_back,), arc.apex_frame, True)
            )
    return Sheet(lines=strokes.joined(lines), notes=tuple(notes))


def _errors(check: LastCheck, arcs: Sequence[BallArc], look: Look) -> Sheet:
    """Of what is in the air a line on each frame to where the free path has it."""
    frames, path = check.examination.basis.frames, check.examination.basis.positions[:, 0]
    unit, lines = check.metres_per_unit, []
    for arc in arcs:
        if arc.free and len(arc.off_m) and float(arc.off_m.max()) >= NEAR_M:
            at = np.clip(np.searchsorted(frames, arc.ideal_frames - 0.5), 0, len(path) - 1)
            ends = np.stack((path[at], arc.ideal), axis=1) / unit
            times = np.repeat(arc.ideal_frames[:, None], 2, axis=1)
            whole = np.abs(frames[at] - arc.ideal_frames) < 1e-3
            lines.append(strokes.strokes(ends[whole], look.mark, _THIN, times[whole]))
    return Sheet(lines=strokes.joined(lines))


def _copy(check: LastCheck, arcs: Sequence[BallArc], turned: Turned, look: Look) -> Sheet:
    unit, height = check.metres_per_unit, check.examination.basis.height.scene_m
    (trail,) = trails_of(check.examination, [Spot(lead_title(check.examination))])
    path = turned.to(trail.frames, trail.positions) / unit
    colours = with_alpha(speed_colours(trail.speed, full_speed(trail.speed)), 1.0)
    lines = [strokes.path(path, colours, look.line, trail.frames)]
    dots = [marks.marks(path, colours, (look.dot, 0, 0, 0), trail.frames)]
    low = float(path[:, 2].min()) - _UNDER * height / unit
    bars, notes = [], []
    for arc in arcs:
        (apex,) = turned.to(np.array([arc.apex_frame]), arc.apex[None]) / unit
        bars.append(marks.marks(apex, (*look.ring[:3], 1.0), (0, 0, _BAR, 1), arc.apex_frame))
        if arc.share is not None:
            notes.append(Note(_single(apex), (f"{100.0 * arc.share:.0f} %",), arc.apex_frame))
        if arc.pushes_back:
            foot = np.array([apex[0], apex[1], low])
            lines.append(strokes.strokes([apex, foot], look.mark, _THIN, arc.apex_frame))
            arms = _CROSS * height / unit * np.array([[-1, 0, 0], [1, 0, 0], [0, -1, 0], [0, 1, 0]])
            lines.append(strokes.strokes(foot + arms, look.mark, _THIN, arc.apex_frame))
            notes.append(Note(_single(foot), (arc.pushes_back,), arc.apex_frame, below=True))
    return Sheet(
        lines=strokes.joined(lines),
        dots=marks.joined(dots),
        above=marks.joined(bars),
        notes=tuple(notes),
    )


def _single(place: Any) -> Any:
    return np.asarray(place, dtype=np.float32)
