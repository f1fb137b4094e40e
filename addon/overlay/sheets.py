# SPDX-License-Identifier: GPL-3.0-or-later
"""What each layer of the trails draws, as arrays: no GPU, no view."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from . import marks, strokes
from .look import Look
from .marks import Marks
from .render_data import Picture
from .strokes import ALWAYS, Strokes


@dataclass(frozen=True, eq=False)
class Note:
    """A text at a point (3,): the longest first; under it instead of above; its frame; and whether
    it stands right there or nowhere, as a tick's number does."""

    point: NDArray[np.float32]
    texts: tuple[str, ...]
    frame: float = ALWAYS
    below: bool = False
    right_there: bool = False


@dataclass(frozen=True, eq=False)
class Sheet:
    """One layer.

    lines, dots  hidden by what is before them; above: never hidden
    fine         lines of which that of the current frame stands out
    dot_now      the dots of the current frame are drawn larger
    """

    lines: Strokes = strokes.NOTHING
    dots: Marks = marks.NOTHING
    above: Marks = marks.NOTHING
    fine: Strokes = strokes.NOTHING
    notes: tuple[Note, ...] = ()
    dot_now: bool = False


def trails_sheet(picture: Picture, look: Look) -> Sheet:
    """Lines, a dot a frame, and what findings point at."""
    return Sheet(
        lines=strokes.trail_lines(picture.traces, look.line),
        dots=marks.dots(picture.traces, look.dot),
        above=marks.named(picture.traces, look.dot, look.ring),
        dot_now=True,
    )


def tops_sheet(picture: Picture, look: Look) -> Sheet:
    """A bar at each flight's top; its sentence is placed with all texts of the picture."""
    return Sheet(above=marks.bars(picture.tops, look.ring))


def point(place: Any, metres_per_unit: float) -> NDArray[np.float32]:
    """A place in metres as a point of the scene."""
    return (np.asarray(place) / metres_per_unit).astype(np.float32)
