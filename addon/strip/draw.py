# SPDX-License-Identifier: GPL-3.0-or-later
"""Draws the strip: batches and GPU state only; what they hold is made in other files."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import bpy
import gpu
from gpu_extras.batch import batch_for_shader
from mathutils import Matrix

from ...analysis.spacing_strip import SpacingStrip
from ...analysis.words import frame_text
from ..overlay import letters
from ..overlay.batches import Pen, draw_batch, gpu_state
from ..overlay.counted import builds
from ..overlay.shaders import text_shader
from ..overlay.wanted import Wanted, full_speed_of
from ..ui import last_check
from ..ui.session import session_of
from ..ui.wrapping import shown_text
from . import shapes, wanted
from .place import Box, is_shown_in, room_in
from .shapes import Mesh, joined
from .texts import Words, fitting, labels_of

_QUIET = (1.0, 1.0, 1.0, 0.62)
_EDGE = (0.03, 0.03, 0.03, 1.0)
# As many sizes as are kept: a window on another screen may have another scale.
_MOST = 8


@dataclass
class _Built:
    """The strip of one size: its bars hang on `key`, its texts on `words` and `picture`."""

    key: Any = None
    chart: Any = None
    # Where the playhead stands, None for nowhere, and what is dimmed.
    stands: Any = None
    at: int | None = None
    curtains: Sequence[tuple[float, float]] = ()
    batches: dict[str, Any] = field(default_factory=dict)
    name: str = ""
    ends: tuple[str, str, str] = ("", "", "")
    frame: Any = None
    words: Words | None = None
    picture: Any = None
    texts: Any = None


_built: dict[tuple[float, float, float], _Built] = {}


def draw() -> None:
    """In pixels, on top of all that is in the view."""
    context = bpy.context
    ready = prepare(context)
    if ready is None:
        return
    built, box = ready
    with gpu_state():
        gpu.state.depth_test_set("NONE")
        with gpu.matrix.push_pop():
            gpu.matrix.translate(box[:2])
            _draw(built.batches["bars"])
            _draw_curtains(built)
            _draw(built.batches["rings"])
            if built.at is not None:
                gpu.matrix.translate((float(built.chart.x[built.at]) + 0.5, 0.0))
                _draw(built.batches["playhead"])
        _draw_texts(context, built, box)


def prepare(context: bpy.types.Context) -> tuple[_Built, Box] | None:
    """What to draw in the context's region, and where; what has not changed is not made anew."""
    check = last_check.last_check()
    if check is None:
        forget()
        return None
    space, data = context.space_data, context.region_data
    if not space.overlay.show_overlays or not is_shown_in(space, data):
        return None
    now, scale = wanted.wanted(context), context.preferences.system.ui_scale
    if now is None:
        return None
    _free, box = room_in(context.area, context.region, scale)
    if box is None:
        return None
    strip = wanted.strip_shown(check, now.choice)
    size = (box[2] - box[0], box[3] - box[1], scale)
    if len(_built) > _MOST:
        _built.clear()
    built = _built.setdefault(size, _Built())
    key = (now.choice, now.look, now.imperial)
    if built.key != key:
        _build(context, built, strip, now, size)
        built.key, built.frame, built.stands = key, None, None
        builds["strip"] += 1
    if built.frame != now.playhead:
        told = shown_text(context, wanted.told_at(strip, now.playhead))
        built.words, built.frame = Words(built.name, told, built.ends), now.playhead
        built.picture = None
    stands = (now.playhead, now.span, now.ahead)
    if built.stands != stands:
        until = now.playhead if now.ahead < 1.0 else None
        built.curtains = shapes.curtains(strip, built.chart, now.span, until)
        built.at, built.stands = shapes.nearest(strip, now.playhead), stands
    if built.picture is None:
        _write(built, size, now.look.letters * scale)
    return built, box


def forget() -> None:
    """Drop all that was built."""
    _built.clear()
    wanted.forget()


def _build(
    context: bpy.types.Context,
    built: _Built,
    strip: SpacingStrip,
    now: Wanted,
    size: tuple[float, float, float],
) -> None:
    (width, height, scale), full = size, full_speed_of(context, session_of(context))
    chart = shapes.chart_of(strip, width, height, scale)
    ring = now.look.ring
    built.chart = chart
    built.batches = {
        "bars": _batch(
            joined([shapes.back(width, height, scale), shapes.bars(strip, chart, full, scale)])
        ),
        "curtain": _batch(shapes.curtain()),
        "rings": _batch(shapes.rings(strip, chart, ring, scale)),
        "playhead": _batch(shapes.playhead(chart, ring, scale)),
    }
    first, last = frame_text(strip.frames[0]), frame_text(strip.frames[-1])
    built.name = fitting(strip.name, width, now.look.letters * scale, scale)
    built.ends = (first, shown_text(context, wanted.told_full(strip)), last)


def _write(built: _Built, size: tuple[float, float, float], letter_size: float) -> None:
    """The texts as one batch; while letters are still to be made, none."""
    assert built.words is not None
    built.picture = letters.letters_of(built.words.parts, letter_size)
    built.texts = None
    if built.picture is not None:
        labels = labels_of(built.words, built.picture, *size)
        built.texts = letters.text_batch(text_shader(), built.picture, labels, _QUIET)
        builds["strip texts"] += 1


def _batch(mesh: Mesh) -> Any:
    """None where there is nothing."""
    if not len(mesh.triangles):
        return None
    shader = gpu.shader.from_builtin("SMOOTH_COLOR")
    content = {"pos": mesh.points, "color": mesh.colours}
    return shader, batch_for_shader(shader, "TRIS", content, indices=mesh.triangles)


def _draw(pair: Any) -> None:
    if pair is not None:
        shader, batch = pair
        shader.bind()
        draw_batch(batch, shader)


def _draw_curtains(built: _Built) -> None:
    """Over what is dimmed; a playhead that moves builds nothing."""
    chart = built.chart
    for first, last in built.curtains:
        with gpu.matrix.push_pop():
            gpu.matrix.translate((first, chart.bottom - 1.0))
            gpu.matrix.scale((last - first, chart.top - chart.bottom + 4.0))
            _draw(built.batches["curtain"])


def _draw_texts(context: bpy.types.Context, built: _Built, box: Box) -> None:
    if built.texts is None:
        return
    width, height = context.region.width, context.region.height
    seen = Matrix(
        (
            (2.0 / width, 0.0, 0.0, 2.0 * box[0] / width - 1.0),
            (0.0, 2.0 / height, 0.0, 2.0 * box[1] / height - 1.0),
            (0.0, 0.0, -1.0, 0.0),
            (0.0, 0.0, 0.0, 1.0),
        )
    )
    pen, program = Pen(_EDGE, (float(width), float(height))), text_shader()
    pen.bind(program)
    program.shader.uniform_sampler("letters", built.picture.held.texture_color)
    pen.draw(program, built.texts, seen)
