# SPDX-License-Identifier: GPL-3.0-or-later
"""Arrays as batches of the GPU, and the drawing of these: nothing else of ours draws."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import gpu
import numpy as np
from gpu_extras.batch import batch_for_shader

from . import marks, strokes
from .marks import Marks
from .shaders import Program
from .strokes import Strokes

# Two triangles of a square's corners.
_SQUARE = np.array([[0, 1, 2], [0, 2, 3]], dtype=np.int32)
_CORNERS = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], dtype=np.float32)
# Which side of the line, and 1 at its first end.
_SIDES = np.array([[-1, 1], [-1, -1], [1, -1], [1, 1]], dtype=np.float32)

# The kind of shape that a line is, as the shader knows it, and what is added to the kind of those
# that are as always on the current frame.
_LINE, _STAYS = 2.0, 0.25


@dataclass(frozen=True, eq=False)
class Figures:
    """Lines, marks above them, and whether those of the current frame stand out."""

    lines: Strokes = strokes.NOTHING
    dots: Marks = marks.NOTHING
    stand_out: bool = True


def figure_batch(program: Program, figures: Sequence[Figures], scale: float) -> Any:
    """Two triangles for each line, and a square for each mark, from the lowest figures up; None
    where there is nothing. Widths and sizes are given so many times."""
    parts, count = [], 0
    for each in figures:
        stays = 0.0 if each.stand_out else _STAYS
        parts += [_of_lines(each.lines, scale, stays), _of_marks(each.dots, scale, stays)]
        count += len(each.lines) + len(each.dots)
    if not count:
        return None
    content = {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}
    return square_batch(program, content, count)


def _of_marks(marks: Marks, scale: float, stays: float) -> dict[str, Any]:
    grown = marks.shapes * np.array([scale, scale, scale, 1.0], dtype=np.float32)
    grown[:, 3] += stays
    places, frames = np.repeat(marks.points, 4, axis=0), np.repeat(marks.frames, 4)
    return {
        "pos": places,
        "other": places,
        "corner": np.tile(_CORNERS, (len(marks), 1)),
        "colour": np.repeat(marks.colours, 4, axis=0),
        "shape": np.repeat(grown, 4, axis=0),
        "frame": frames,
        "until": frames,
    }


def _of_lines(strokes: Strokes, scale: float, stays: float) -> dict[str, Any]:
    here, there = [0, 1, 1, 0], [1, 0, 0, 1]
    shapes = np.zeros((len(strokes), 4), dtype=np.float32)
    shapes[:, 0], shapes[:, 3] = strokes.widths * scale, _LINE + stays
    return {
        "pos": strokes.ends[:, here].reshape(-1, 3),
        "other": strokes.ends[:, there].reshape(-1, 3),
        "corner": np.tile(_SIDES, (len(strokes), 1)),
        "colour": strokes.colours[:, here].reshape(-1, 4),
        "shape": np.repeat(shapes, 4, axis=0),
        "frame": strokes.frames[:, here].reshape(-1),
        "until": strokes.frames[:, there].reshape(-1),
    }


def square_batch(program: Program, content: dict[str, Any], count: int) -> Any:
    """Squares of four corners each, whose attributes are there already."""
    return (
        batch_for_shader(program.shader, "TRIS", content, indices=_squares(count))
        if count
        else None
    )


def _squares(count: int) -> Any:
    first = 4 * np.arange(count, dtype=np.int32)[:, None, None]
    return (first + _SQUARE).reshape(-1, 3)


class Pen:
    """Draws with a shader, and tells it only what has changed since."""

    def __init__(self, program: Program) -> None:
        self._shader = program.shader
        self._shader.bind()
        self._seen: Any = None
        self._told: Any = None

    def take_letters(self, texture: Any) -> None:
        """The picture that texts are copied from."""
        self._shader.uniform_sampler("letters", texture)

    def draw(self, batch: Any, seen: Any, told: Any) -> None:
        """Draw a batch as it is seen (4,4), with what the shader is told (4,4)."""
        if self._seen is not seen:
            self._shader.uniform_float("seen", seen)
            self._seen = seen
        if self._told is not told:
            self._shader.uniform_float("told", told)
            self._told = told
        draw_batch(batch, self._shader)


def draw_batch(batch: Any, shader: Any) -> None:
    """All that we draw goes through here, so that what it costs can be told from the rest."""
    batch.draw(shader)


@contextmanager
def gpu_state() -> Iterator[None]:
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
