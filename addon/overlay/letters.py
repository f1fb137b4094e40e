# SPDX-License-Identifier: GPL-3.0-or-later
"""Texts as one batch: each text is drawn once into a picture, and copied from there.

Blender draws a text by a call of its own, and a hundred numbers that way take longer than all the
rest. Numbers are put together of digits, all else is kept whole, as its script may need it. The
picture is made between two redraws: inside of one, Blender's own texts would get lost.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import blf
import bpy
import gpu
import numpy as np
from mathutils import Matrix

from ..ui.redraw import redraw_viewports
from . import counted
from .batches import gpu_state, square_batch
from .labels import Label
from .page import Type
from .shaders import Program

_FONT = 0
# Pixels around each text: its dark edge, and one that stays free.
_PAD = 2
_WIDTH = 1024
# More pieces than these are not kept beyond a change.
_MOST = 600


@dataclass(frozen=True, eq=False)
class Letters:
    """texture, its size, and where in it each piece stands: text -> (x, y, width, advance)."""

    held: Any
    size: float
    low: int
    height: int
    places: dict[str, tuple[int, int, int, float]]


_last: list[Letters] = []
# What a redraw lacked: pieces, and their size.
_lacking: list[tuple[set[str], float]] = []


def type_of(size: float) -> Type:
    """How large letters of so many pixels are."""
    blf.size(_FONT, size)
    return Type(*_room("0"))


def forget() -> None:
    """Drop the picture."""
    _last.clear()
    _lacking.clear()
    if bpy.app.timers.is_registered(_make):
        bpy.app.timers.unregister(_make)


def letters_of(texts: Iterable[str], size: float) -> Letters | None:
    """A picture that holds all pieces of these texts; None where it is still to be made."""
    wanted = {piece for text in texts for piece in pieces(text)} | set("0123456789")
    known = _last[0] if _last and _last[0].size == size else None
    if known is not None and wanted <= known.places.keys():
        return known
    if known is not None and len(known.places) < _MOST:
        wanted |= known.places.keys()
    _lacking[:] = [(wanted, size)]
    if not bpy.app.timers.is_registered(_make):
        bpy.app.timers.register(_make, first_interval=0.0)
    return None


def _make() -> None:
    for wanted, size in _lacking:
        _last[:] = [_drawn(sorted(wanted), size)]
        counted.builds["letters"] += 1
    _lacking.clear()
    redraw_viewports(bpy.context)


def pieces(text: str) -> Sequence[str]:
    """A number's digits, or the text as it is."""
    return text if text.isascii() and text.isdigit() else (text,)


def text_batch(program: Program, letters: Letters, labels: Sequence[Label], colour: Any) -> Any:
    """A square for each piece of each label; None where there is none."""
    rows = []
    for label in labels:
        at = 0.0
        for piece in pieces(label.text):
            x, y, width, advance = letters.places[piece]
            away = (round(label.away[0] + at) - _PAD, round(label.away[1]) - _PAD - letters.low)
            rows.append((*label.point, *away, x, y, width, label.strong, label.frame))
            at += advance
    if not rows:
        return None
    held = np.array(rows, dtype=np.float32)
    right, up = np.array([0, 1, 1, 0]), np.array([0, 0, 1, 1])
    size = np.stack((held[:, 7:8] * right, up * letters.height + 0 * held[:, 7:8]), axis=-1)
    tint = np.tile(np.asarray(colour, np.float32), (len(rows), 1))
    tint[held[:, 8] > 0.0, 3] = 1.0
    content = {
        "pos": np.repeat(held[:, :3], 4, axis=0),
        "away": (held[:, None, 3:5] + size).reshape(-1, 2).astype(np.float32),
        "letter": (held[:, None, 5:7] + size).reshape(-1, 2).astype(np.float32),
        "colour": np.repeat(tint, 4, axis=0),
        "frame": np.repeat(held[:, 9], 4),
    }
    return square_batch(program, content, len(rows))


def _drawn(wanted: Sequence[str], size: float) -> Letters:
    blf.size(_FONT, size)
    tallest = _room("\u00c5|gjpq")[1]
    low = int(np.ceil(tallest - _room("\u00c5l")[1]))
    height = int(np.ceil(tallest)) + 2 * _PAD + 2
    places, x, y = {}, 0, 0
    for text in wanted:
        width = int(np.ceil(_room(text)[0])) + 2 * _PAD + 1
        if x + width > _WIDTH and x:
            x, y = 0, y + height
        # Twice the text, less one: what it takes with the gap beside it.
        advance = _room(text + text)[0] - _room(text)[0]
        places[text] = (x, y, width, advance)
        x += width
    types: Any = gpu.types
    held = types.GPUOffScreen(_WIDTH, y + height, format="RGBA8")
    with held.bind(), gpu_state(), gpu.matrix.push_pop(), gpu.matrix.push_pop_projection():
        gpu.state.active_framebuffer_get().clear(color=(0.0, 0.0, 0.0, 0.0))
        gpu.matrix.load_matrix(Matrix.Identity(4))
        gpu.matrix.load_projection_matrix(_pixels(_WIDTH, y + height))
        gpu.state.depth_test_set("NONE")
        blf.color(_FONT, 1.0, 1.0, 1.0, 1.0)
        for text, (left, bottom, _width, _advance) in places.items():
            blf.position(_FONT, left + _PAD, bottom + _PAD + low, 0.0)
            blf.draw(_FONT, text)
    return Letters(held, size, low, height, places)


def _room(text: str) -> tuple[float, float]:
    """Width and height of a text in pixels, at the size that was set last."""
    size: Any = blf.dimensions(_FONT, text)
    return float(size[0]), float(size[1])


def _pixels(width: int, height: int) -> Matrix:
    return Matrix(((2 / width, 0, 0, -1), (0, 2 / height, 0, -1), (0, 0, -1, 0), (0, 0, 0, 1)))
