# SPDX-License-Identifier: GPL-3.0-or-later
"""Draws the trails: batches and GPU state only; what they hold is made in the other files."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import blf
import bpy
import gpu
from gpu_extras.batch import batch_for_shader

from ..ui import last_check
from ..ui.session import session_of
from . import glyphs, wanted
from .labels import Label, Type, place_labels, top_places
from .lines import Lines, lines_of, with_alpha
from .render_data import Picture, Trace, cut, within
from .screen import Mesh
from .wanted import Wanted

# Unscaled pixels: the coloured line, and the dark one beneath that sets it off.
_LINE, _CASING = 1.6, 3.4
_CASING_COLOUR = (0.03, 0.03, 0.03, 0.55)
_NUMBER_POINTS = 11.0
_FONT = 0
# Kinds of shadows, as blf counts them.
_OUTLINE, _SHADOW = 6, 3
_TEXT_EDGE = (0.0, 0.0, 0.0, 1.0)
# Drawn once, the edge is too faint on a white background.
_TEXT_TIMES = 2
# As many regions as are kept; a quad view has four.
_MOST_REGIONS = 16


@dataclass
class _Strokes:
    """The lines of one choice and span: alike in every region."""

    key: Any = None
    traces: Sequence[Trace] = ()
    batches: dict[str, Any] = field(default_factory=dict)


@dataclass
class _Region:
    """What hangs on a region's view; `playhead` hangs on the current frame as well."""

    key: Any = None
    batches: dict[str, Any] = field(default_factory=dict)
    labels: Sequence[Label] = ()
    frame: float | None = None
    playhead: Any = None


_strokes = _Strokes()
_regions: dict[int, _Region] = {}


def draw_scene() -> None:
    """In the scene's space, after the scene: lines and dots, faint where something hides them."""
    ready = prepare(bpy.context)
    if ready is None:
        return
    strokes, region = ready
    scale = bpy.context.preferences.system.ui_scale
    with _gpu_state():
        gpu.state.depth_test_set("GREATER")
        _draw_line(strokes.batches["faint"], _LINE * scale)
        _draw_mesh(region.batches["faint"])
        gpu.state.depth_test_set("LESS_EQUAL")
        _draw_line(strokes.batches["casing"], _CASING * scale, _CASING_COLOUR)
        _draw_line(strokes.batches["line"], _LINE * scale)
        _draw_mesh(region.batches["dots"])
        gpu.state.depth_test_set("NONE")
        _draw_mesh(region.batches["named"])
        _draw_mesh(region.playhead)


def draw_labels() -> None:
    """In pixels, on top: bars at the tops of flights, sentences and frame numbers."""
    ready = prepare(bpy.context)
    if ready is None:
        return
    _strokes, region = ready
    with _gpu_state():
        _draw_mesh(region.batches["bars"])
    _draw_texts(region.labels, bpy.context.preferences.system.ui_scale)


def prepare(context: bpy.types.Context) -> tuple[_Strokes, _Region] | None:
    """What to draw in the context's region; where nothing has changed, what was drawn before."""
    if last_check.last_check() is None:
        forget()
        return None
    if not context.space_data.overlay.show_overlays:
        return None
    now = wanted.wanted(session_of(context), context.scene)
    if now is None:
        return None
    strokes = _strokes_of(now)
    return strokes, _region_of(context, now, strokes)


def forget() -> None:
    """Drop all that was built."""
    _strokes.key, _strokes.traces = None, ()
    _strokes.batches.clear()
    _regions.clear()
    wanted.forget()


def _picture(now: Wanted) -> Picture:
    check = last_check.last_check()
    return wanted.picture_of(check, now.choice)


def _strokes_of(now: Wanted) -> _Strokes:
    key = (now.choice, now.span)
    if _strokes.key != key:
        traces = [cut(trace, now.span) for trace in _picture(now).traces]
        lines = lines_of(traces)
        _strokes.batches = {
            "casing": _line_batch("POLYLINE_UNIFORM_COLOR", lines, None),
            "line": _line_batch("POLYLINE_SMOOTH_COLOR", lines, 1.0),
            "faint": _line_batch("POLYLINE_SMOOTH_COLOR", lines, glyphs.FAINT),
        }
        _strokes.key, _strokes.traces = key, traces
    return _strokes


def _region_of(context: bpy.types.Context, now: Wanted, strokes: _Strokes) -> _Region:
    region, scale = context.region, context.preferences.system.ui_scale
    free = wanted.free_part(context.area, region)
    taken = wanted.taken_parts(context.space_data, free, scale)
    seen = (region, context.region_data, scale, free, taken)
    view_key = wanted.view_key(*seen)
    if len(_regions) > _MOST_REGIONS:
        _regions.clear()
    known = _regions.setdefault(region.as_pointer(), _Region())
    view, key = None, (strokes.key, view_key)
    if known.key != key:
        view = wanted.view_of(*seen)
        tops = within(_picture(now).tops, now.span) if view.shows_height else ()
        dots, named = glyphs.dots(view, strokes.traces), glyphs.named(view, strokes.traces)
        known.batches = {
            "dots": _mesh_batch(dots, dots.colours),
            "faint": _mesh_batch(dots, glyphs.faint(dots)),
            "named": _mesh_batch(named, named.colours),
            "bars": _whole(glyphs.bars(top_places(view, tops), scale)),
        }
        known.labels = place_labels(view, strokes.traces, tops, _letters(scale))
        known.key, known.frame = key, None
    if known.frame != now.playhead:
        view = view or wanted.view_of(*seen)
        known.playhead = _whole(glyphs.playheads(view, strokes.traces, now.playhead))
        known.frame = now.playhead
    return known


def _letters(scale: float) -> Type:
    blf.size(_FONT, _NUMBER_POINTS * scale)
    width, height = blf.dimensions(_FONT, "0")
    return Type(width, height)


def _line_batch(name: str, lines: Lines, alpha: float | None) -> Any:
    """None where there is no line."""
    if not len(lines.pairs):
        return None
    content: dict[str, Any] = {"pos": lines.points}
    if alpha is not None:
        content["color"] = with_alpha(lines.colours, alpha)
    shader = gpu.shader.from_builtin(name)
    return shader, batch_for_shader(shader, "LINES", content, indices=lines.pairs)


def _whole(mesh: Mesh) -> Any:
    return _mesh_batch(mesh, mesh.colours)


def _mesh_batch(mesh: Mesh, colours: Any) -> Any:
    """None where there is nothing."""
    if not len(mesh.triangles):
        return None
    shader = gpu.shader.from_builtin("SMOOTH_COLOR")
    content = {"pos": mesh.points, "color": colours}
    return shader, batch_for_shader(shader, "TRIS", content, indices=mesh.triangles)


def _draw_line(pair: Any, width: float, colour: Any = None) -> None:
    if pair is None:
        return
    shader, batch = pair
    shader.bind()
    viewport: Any = gpu.state.viewport_get()
    shader.uniform_float("viewportSize", viewport[2:])
    shader.uniform_float("lineWidth", width)
    if colour is not None:
        shader.uniform_float("color", colour)
    batch.draw(shader)


def _draw_mesh(pair: Any) -> None:
    if pair is not None:
        shader, batch = pair
        shader.bind()
        batch.draw(shader)


def _draw_texts(labels: Sequence[Label], scale: float) -> None:
    blf.size(_FONT, _NUMBER_POINTS * scale)
    blf.enable(_FONT, blf.SHADOW)
    _outline()
    blf.shadow_offset(_FONT, 0, 0)
    try:
        for label in labels:
            blf.color(_FONT, 1.0, 1.0, 1.0, 1.0 if label.strong else 0.85)
            for _ in range(_TEXT_TIMES):
                blf.position(_FONT, label.x, label.y, 0.0)
                blf.draw(_FONT, label.text)
    finally:
        blf.disable(_FONT, blf.SHADOW)


def _outline() -> None:
    """A dark line around the letters where this Blender has that, else a soft shadow."""
    try:
        blf.shadow(_FONT, _OUTLINE, *_TEXT_EDGE)
    except (TypeError, ValueError):
        blf.shadow(_FONT, _SHADOW, *_TEXT_EDGE)


@contextmanager
def _gpu_state() -> Iterator[None]:
    """Blend, write no depth, and leave the state as it was."""
    blend, test = gpu.state.blend_get(), gpu.state.depth_test_get()
    mask = gpu.state.depth_mask_get()
    gpu.state.blend_set("ALPHA")
    gpu.state.depth_mask_set(False)
    try:
        yield
    finally:
        gpu.state.depth_mask_set(mask)
        gpu.state.depth_test_set(test)
        gpu.state.blend_set(blend)
