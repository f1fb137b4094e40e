# SPDX-License-Identifier: GPL-3.0-or-later
"""Lines as arrays: of trails, dashed, closed; knows neither GPU nor view.

Widths are unscaled pixels, places are in the scene's units.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .render_data import Trace

Floats = NDArray[np.float32]
# Instead of a frame: shown on all of them.
ALWAYS = -1e30


@dataclass(frozen=True, eq=False)
class Strokes:
    """L straight lines: ends (L,2,3), colours (L,2,4) sRGB and alpha, widths (L,) and the frames
    (L,2) of the ends, or ALWAYS."""

    ends: Floats
    colours: Floats
    widths: Floats
    frames: Floats

    def __len__(self) -> int:
        return len(self.ends)


def strokes(ends: Any, colour: Any, width: float, frames: Any) -> Strokes:
    """Lines of one width: ends (L,2,3); colour and frames are spread to each end."""
    placed = np.asarray(ends, dtype=np.float32).reshape(-1, 2, 3)
    count = len(placed)
    return Strokes(
        placed,
        np.broadcast_to(np.asarray(colour, np.float32), (count, 2, 4)),
        np.full(count, width, dtype=np.float32),
        np.broadcast_to(np.asarray(frames, np.float32), (count, 2)),
    )


NOTHING = strokes(np.zeros((0, 2, 3)), (0, 0, 0, 0), 1.0, 0.0)


def joined(many: Sequence[Strokes]) -> Strokes:
    """Several as one."""
    all_of = (NOTHING, *many)
    names = [field.name for field in fields(Strokes)]
    return Strokes(*(np.concatenate([getattr(each, name) for each in all_of]) for name in names))


def path(points: Any, colour: Any, width: float, frames: Any) -> Strokes:
    """A line through points (N,3); colour (4,) or (N,4), frames () or (N,)."""
    places = np.asarray(points, dtype=np.float32).reshape(-1, 3)
    count = len(places)
    tints = np.broadcast_to(np.asarray(colour, np.float32), (count, 4))
    times = np.broadcast_to(np.asarray(frames, np.float32), (count,))
    return strokes(_pairs(places), _pairs(tints), width, _pairs(times))


def trail_lines(traces: Sequence[Trace], width: float) -> Strokes:
    """A line from each dot to the next of the same trace, where it is the same picture."""
    found = []
    for trace in traces:
        whole = path(trace.points, with_alpha(trace.colours, 1.0), width, trace.frames)
        kept = ~trace.begins[1:]
        found.append(
            Strokes(whole.ends[kept], whole.colours[kept], whole.widths[kept], whole.frames[kept])
        )
    return joined(found)


def dashes(points: Any, colours: Any, width: float, frames: Any, length: float) -> Strokes:
    """A dashed line through points (N,3) with colours (N,4) and frames (N,): dashes so long, and
    gaps like them, counted along the line; a line that is shorter is one dash."""
    places = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    if len(places) < 2:
        return NOTHING
    along = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(places, axis=0), axis=1))))
    count = max(round(along[-1] / length / 2.0 + 0.5), 1) if length > 0.0 else 1
    starts = np.arange(count) * 2.0
    stops = np.stack((starts, starts + 1.0), axis=1) * along[-1] / (2.0 * count - 1.0)
    # Three pieces a dash, so that it bends as its path does.
    cuts = stops[:, :1] + (stops[:, 1:] - stops[:, :1]) * np.linspace(0.0, 1.0, 4)
    held = np.concatenate((places, np.asarray(colours).reshape(-1, 4)), axis=1)
    held = np.concatenate((held, np.asarray(frames, dtype=np.float64).reshape(-1, 1)), axis=1)
    at = np.stack([np.interp(cuts, along, column) for column in held.T], axis=-1)
    pairs = np.stack((at[:, :-1], at[:, 1:]), axis=2).reshape(-1, 2, held.shape[1])
    return strokes(pairs[..., :3], pairs[..., 3:7], width, pairs[..., 7])


def with_alpha(colours: Any, alpha: float) -> Floats:
    """(V,4) of colours (V,3)."""
    tints = np.asarray(colours, dtype=np.float32).reshape(-1, 3)
    return np.concatenate((tints, np.full((len(tints), 1), alpha, np.float32)), axis=1)


def _pairs(rows: Floats) -> Floats:
    """(N-1,2,...) each row beside the next one."""
    return np.stack((rows[:-1], rows[1:]), axis=1)
