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
from ..overlay.batches import Pen, draw_batch
from ..overlay.counted import builds
from ..overlay.shaders import text_shader
from ..overlay.steps import told_plainly
from ..overlay.wanted import Wanted, full_speed_of
from ..ui import last_check
from ..ui.last_check import LastCheck
from ..ui.session import session_of
from ..ui.wrapping import shown_text
from . import shapes, wanted
from .place import Box
from .shapes import Mesh, joined
from .texts import Words, fitting, labels_of

_QUIET = (1.0, 1.0, 1.0, 0.62)
_EDGE = (0.03, 0.03, 0.03, 1.0)
# A span in which no frame is.
_NEVER = (1e30, 1e30)
# As many sizes as are kept: a window on another screen may have another scale.
_MOST = 8


@dataclass
class _Built:
    """The strip of one size: its bars hang on `key`, its texts on `words` and `picture`; while
    letters for other words are still to be made, what was told before stays: nothing blinks."""

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
    is_written: bool = True
    picture: Any = None
    texts: Any = None
    seen: Any = None


_built: dict[tuple[float, float, float], _Built] = {}


@dataclass(slots=True, eq=False)
class Ready:
    """The strip as it is built, its lower left corner, and how its texts are seen (4,4) and what
    their shader is told."""

    built: _Built
    corner: tuple[float, float]
    seen: Matrix
    told: Matrix


def draw(ready: Ready) -> None:
    """In pixels, on top of all that is in the view; the caller keeps the GPU's state."""
    built = ready.built
    with gpu.matrix.push_pop():
        gpu.matrix.translate(ready.corner)
        _draw(built.batches["bars"])
        _draw_curtains(built)
        _draw(built.batches["rings"])
        if built.at is not None:
            gpu.matrix.translate((float(built.chart.x[built.at]) + 0.5, 0.0))
            _draw(built.batches["playhead"])
    if built.texts is not None:
        pen = Pen(text_shader())
        pen.take_letters(built.picture.held.texture_color)
        pen.draw(built.texts, ready.seen, ready.told)


def prepare(
    context: bpy.types.Context,
    now: Wanted,
    room: tuple[float, float],
    scale: float,
    box: Box,
) -> Ready | None:
    """What to draw of the strip; what has not changed is not made anew.

    room   the region's pixels
    scale  pixels for one unscaled pixel
    box    the strip's
    """
    check = last_check.last_check()
    if check is None:
        return None
    now = wanted.in_world(context, now, check)
    built = _brought_up(context, now, check, scale, box)
    key = (box, room)
    if built.seen is None or built.seen[0] != key:
        built.seen = (key, _seen(box, room), told_plainly(_EDGE, room))
    return Ready(built, box[:2], *built.seen[1:])


def _brought_up(
    context: bpy.types.Context, now: Wanted, check: LastCheck, scale: float, box: Box
) -> _Built:
    strip = wanted.strip_shown(check, now.choice)
    size = (box[2] - box[0], box[3] - box[1], scale)
    if len(_built) > _MOST:
        _built.clear()
    built = _built.get(size)
    if built is None:
        built = _built[size] = _Built()
    key = (now.choice, now.look, now.imperial)
    if built.key != key:
        _build(context, built, strip, now, size)
        built.key, built.frame, built.stands = key, None, None
        builds["strip"] += 1
    if built.frame != now.playhead:
        told = shown_text(context, wanted.told_at(strip, now.playhead))
        built.words, built.frame = Words(built.name, told, built.ends), now.playhead
        built.is_written = False
    stands = (now.playhead, now.span, now.ahead, now.old)
    if built.stands != stands:
        until = now.playhead if now.ahead < 1.0 else None
        # All of it is dimmed where it is about a motion that is no more.
        span = _NEVER if now.old else now.span
        built.curtains = shapes.curtains(strip, built.chart, span, until)
        built.at, built.stands = shapes.nearest(strip, now.playhead), stands
    if not built.is_written:
        _write(built, size, now.look.letters * scale)
    return built


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
    """The texts as one batch, where their letters are made."""
    assert built.words is not None
    picture = letters.letters_of(built.words.parts, letter_size)
    if picture is not None:
        labels = labels_of(built.words, picture, *size)
        built.texts = letters.text_batch(text_shader(), picture, labels, _QUIET)
        built.picture, built.is_written = picture, True
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


def _seen(box: Box, room: tuple[float, float]) -> Matrix:
    """(4,4) from pixels of the strip to the region's view."""
    width, height = room
    return Matrix(
        (
            (2.0 / width, 0.0, 0.0, 2.0 * box[0] / width - 1.0),
            (0.0, 2.0 / height, 0.0, 2.0 * box[1] / height - 1.0),
            (0.0, 0.0, -1.0, 0.0),
            (0.0, 0.0, 0.0, 1.0),
        )
    )
