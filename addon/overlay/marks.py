# SPDX-License-Identifier: GPL-3.0-or-later
"""Dots, rings, hollow dots and bars as arrays: knows neither GPU nor view.

Sizes are unscaled pixels. A dark rim keeps dots apart from each other and from any background.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .render_data import NAMED, READ, Top, Trace
from .strokes import with_alpha

Floats = NDArray[np.float32]
# Of these shares of a plain dot's radius are the dots that a finding names.
NAMED_SHARE = 1.9
# Inner and outer edge of the rings.
RINGS = {NAMED: (8.0, 9.6), READ: (9.5, 12.1)}
HOLLOW = (3.4, 5.2)
_BAR = 18.0


@dataclass(frozen=True, eq=False)
class Marks:
    """N marks: points (N,3), colours (N,4) sRGB and alpha, shapes (N,4), frames (N,).

    A shape is the radius of the core, 0 for none, inner and outer edge of a ring, 0 for none, and
    1 for a bar above the point that is as wide as twice the ring instead.
    """

    points: Floats
    colours: Floats
    shapes: Floats
    frames: Floats

    def __len__(self) -> int:
        return len(self.points)


def marks(points: Any, colours: Any, shape: tuple[float, ...], frames: Any) -> Marks:
    """Marks of one shape; colours (4,) or (N,4), frames () or (N,)."""
    places = np.asarray(points, dtype=np.float32).reshape(-1, 3)
    count = len(places)
    return Marks(
        places,
        np.broadcast_to(np.asarray(colours, np.float32), (count, 4)),
        np.broadcast_to(np.asarray(shape, np.float32), (count, 4)),
        np.broadcast_to(np.asarray(frames, np.float32), (count,)),
    )


NOTHING = marks(np.zeros((0, 3)), (0, 0, 0, 0), (0, 0, 0, 0), 0.0)


def joined(many: Sequence[Marks]) -> Marks:
    """Several as one."""
    all_of = (NOTHING, *many)
    names = [field.name for field in fields(Marks)]
    return Marks(*(np.concatenate([getattr(each, name) for each in all_of]) for name in names))


def dots(traces: Sequence[Trace], radius: float) -> Marks:
    """A dot for each frame of each trace."""
    return joined(
        [
            marks(each.points, with_alpha(each.colours, 1.0), (radius, 0, 0, 0), each.frames)
            for each in traces
        ]
    )


def named(traces: Sequence[Trace], radius: float, ring: tuple[float, ...]) -> Marks:
    """Larger dots with a ring, where findings point; the ring of the one that is read is bolder."""
    found = []
    for trace in traces:
        for weight, (inner, outer) in RINGS.items():
            at = trace.weights == weight
            frames, points = trace.frames[at], trace.points[at]
            found.append(marks(points, (*ring[:3], 1.0), (0, inner, outer, 0), frames))
            core = (radius * NAMED_SHARE, 0, 0, 0)
            found.append(marks(points, with_alpha(trace.colours[at], 1.0), core, frames))
    return joined(found)


def bars(tops: Sequence[Top], colour: tuple[float, ...]) -> Marks:
    """Bars with their ends turned down above the tops of flights."""
    points = np.array([top.point for top in tops], dtype=np.float32)
    return marks(points, (*colour[:3], 1.0), (0, 0, _BAR, 1), [top.frame for top in tops])
