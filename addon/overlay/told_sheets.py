# SPDX-License-Identifier: GPL-3.0-or-later
"""The layers that tell what should have been, and what the feet do: as arrays, no GPU, no view."""

from collections.abc import Callable
from typing import Any

import numpy as np

from ...analysis import drawn
from ...analysis.trails import gap_speed
from ..ui.last_check import LastCheck
from . import marks, strokes
from .choice import Choice
from .colours import speed_colours
from .look import Look
from .render_data import Picture, chosen_spots, placed
from .sheets import Note, Sheet, point
from .strokes import ALWAYS, with_alpha

# Shares of the figure's height: a dash, an arm of a landing's cross, an arrow's length for one
# body weight and its head's, and how far what lies on the floor is lifted off it.
_DASH, _CROSS, _WEIGHT, _HEAD, _LIFT = 0.022, 0.05, 0.22, 0.045, 0.003
# Unscaled pixels.
_THIN, _MIDDLE, _BOLD = 1.2, 1.8, 2.6
# Suggestions for what is not read.
_FAINT = 0.4


# By what was asked, the check that answered and its answer: looks and picks do not change these.
_answers: dict[str, tuple[int, Any]] = {}


def forget() -> None:
    """Drop what was found."""
    _answers.clear()


def _found(check: LastCheck, ask: Callable[..., Any], *how: Any) -> Any:
    """What one of the layers' functions says of a check, asked once."""
    name = f"{ask.__name__} {how}"
    if _answers.get(name, (None,))[0] != check.serial:
        _answers[name] = (check.serial, ask(check.examination, *how))
    return _answers[name][1]


def paths_sheet(check: LastCheck, choice: Choice, picture: Picture, look: Look) -> Sheet:
    """Dashed paths in the colours of their speed, and a cross where they come down."""
    height = check.examination.basis.height
    lines, notes = [], []
    for path in _found(check, drawn.free_paths):
        points, ahead = placed(check, choice, path.frames, path.positions)
        if len(points) < 2 or not ahead.all():
            continue
        seconds = path.frames * check.examination.basis.dt_s
        speed = gap_speed(path.positions, seconds) * height.to_story
        colours = with_alpha(speed_colours(speed, picture.full_speed), 1.0)
        dash = _dash(points, path.positions, _DASH * height.scene_m)
        lines.append(strokes.dashes(points, colours, look.line, path.frames, dash))
        end = points[-1]
        if path.landing is not None and path.landing_frame is not None:
            arms = _cross(path.landing, _CROSS * height.scene_m)
            times = np.full(len(arms), path.landing_frame)
            ends, seen = placed(check, choice, times, arms)
            if seen.all():
                lines.append(strokes.strokes(ends, look.ring, _MIDDLE, ALWAYS))
                end = ends.mean(axis=0)
        notes.append(Note(end, (path.says,), below=True))
    return Sheet(lines=strokes.joined(lines), notes=tuple(notes))


def targets_sheet(check: LastCheck, choice: Choice, look: Look) -> Sheet:
    """Hollow dots, and a thin line to each from where the point is."""
    shown = set(chosen_spots(check.examination, choice))
    lines, dots = [], []
    for each in _found(check, drawn.targets):
        is_read = each.finding == choice.finding
        if not is_read and (each.finding in choice.quiet or each.spot not in shown):
            continue
        ends, ahead = placed(
            check, choice, [each.frame, each.frame], np.array([each.actual, each.position])
        )
        if ahead.all():
            tint = (*look.ring[:3], 1.0 if is_read else _FAINT)
            lines.append(strokes.strokes(ends, tint, _THIN, each.frame))
            dots.append(marks.marks(ends[1:], tint, (0, *marks.HOLLOW, 0), each.frame))
    return Sheet(lines=strokes.joined(lines), above=marks.joined(dots))


def pushes_sheet(check: LastCheck, look: Look) -> Sheet:
    """Arrows, so long as the push is hard, with how many body weights it is."""
    unit, tall = check.metres_per_unit, check.examination.basis.height.scene_m
    lines, notes = [], []
    for push in _found(check, drawn.pushes):
        tip = push.place + push.force * _WEIGHT * tall
        ends = _arrow(push.place, tip, _HEAD * tall) / unit
        tint = look.mark if push.explained else look.ring
        lines.append(strokes.strokes(ends, tint, _BOLD, push.frame))
        notes.append(Note(point(tip, unit), (push.says,), push.frame))
    return Sheet(lines=strokes.joined(lines), notes=tuple(notes))


def footprints_sheet(check: LastCheck, look: Look) -> Sheet:
    """Outlines of the soles, and the way that a planted foot slips."""
    unit = check.metres_per_unit
    up = np.array([0.0, 0.0, _LIFT * check.examination.basis.height.scene_m])
    lines, notes = [], []
    for each in _found(check, drawn.footprints):
        middle = float(np.mean(each.frames))
        faint = (*look.mark[:3], look.mark[3] * (1.0 if each.says else 0.6))
        lines.append(strokes.path((each.outline + up) / unit, faint, _THIN, middle))
        if each.says:
            slip = (each.slip + up) / unit
            lines.append(strokes.path(slip, look.ring, _BOLD, middle))
            notes.append(Note(point(each.slip[-1], unit), (each.says,), middle, below=True))
    return Sheet(lines=strokes.joined(lines), notes=tuple(notes))


def has_ruler(check: LastCheck, *, imperial: bool) -> bool:
    """Whether anything travels far enough for a ruler."""
    return _found(check, drawn.ruler_of, imperial) is not None


def ruler_sheet(check: LastCheck, look: Look, *, imperial: bool) -> Sheet:
    """Ticks along the way, and a fine one on the other side for each frame."""
    ruler = _found(check, drawn.ruler_of, imperial)
    if ruler is None:
        return Sheet()
    unit, tall = check.metres_per_unit, check.examination.basis.height.scene_m
    start = ruler.start + [0.0, 0.0, _LIFT * tall]

    def at(along: Any, aside: Any) -> Any:
        ways = np.outer(along, ruler.along) + np.outer(np.broadcast_to(aside, len(along)), side)
        return (start + ways) / unit

    side = ruler.side * tall
    long = np.where(ruler.major, 0.05, 0.025)
    whole = np.array([[at([0.0], 0.0)[0], at([ruler.length], 0.0)[0]]])
    ticks = np.stack((at(ruler.ticks, 0.0), at(ruler.ticks, long)), axis=1)
    frames = np.stack((at(ruler.lead, -0.03), at(ruler.lead, 0.0)), axis=1)
    times = np.repeat(ruler.frames[:, None], 2, axis=1)
    fine = (*look.mark[:3], 0.55 * look.mark[3])
    lines = (
        strokes.strokes(whole, look.mark, _THIN, ALWAYS),
        strokes.strokes(ticks, look.mark, _THIN, ALWAYS),
    )
    ends = at(ruler.ticks, long + 0.02).astype(np.float32)
    told = [(end, text) for end, text in zip(ends, ruler.texts, strict=True) if text]
    notes = [Note(end, (text,), right_there=True) for end, text in told]
    return Sheet(
        lines=strokes.joined(lines),
        fine=strokes.strokes(frames, fine, 1.0, times),
        notes=tuple(notes),
    )


def _dash(points: Any, positions: Any, dash_m: float) -> float:
    """A dash's length among points, which may be those of a picture, from its metres."""
    lengths = [np.linalg.norm(np.diff(each, axis=0), axis=1).sum() for each in (points, positions)]
    return float(dash_m * lengths[0] / lengths[1]) if lengths[1] > 0.0 else 0.0


def _cross(place: Any, arm: float) -> Any:
    """(4,3) the ends of two lines on the floor."""
    ways = np.array([(1, 1, 0), (-1, -1, 0), (1, -1, 0), (-1, 1, 0)]) * (arm / np.sqrt(2.0))
    return place + ways


def _arrow(foot: Any, tip: Any, head: float) -> Any:
    """(5,2,3) a shaft, and a head of four barbs that is seen from every side."""
    way = tip - foot
    length = float(np.linalg.norm(way))
    if length <= 0.0:
        return np.zeros((0, 2, 3))
    way = way / length
    first = np.cross(way, (1.0, 0.0, 0.0) if abs(way[0]) < 0.8 else (0.0, 1.0, 0.0))
    first = first / np.linalg.norm(first)
    second = np.cross(way, first)
    head = min(head, length / 2.0)
    barbs = [tip - way * head + aside * head * 0.5 for aside in (first, -first, second, -second)]
    return np.array([(foot, tip), *((tip, barb) for barb in barbs)])
