# SPDX-License-Identifier: GPL-3.0-or-later
"""The strip's shapes, in pixels from its lower left corner; knows neither GPU nor view.

Sizes are unscaled pixels. Bars stand on whole pixels, or even spacing would look uneven.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...analysis.spacing_strip import SpacingStrip
from ..overlay.colours import speed_colours

Floats = NDArray[np.float64]
# From the strip's edges to the bars; texts stand above and below them.
SIDE, BELOW, ABOVE = 9.0, 20.0, 22.0
_CORNER = 5.0
_BACK, _LINE = (0.05, 0.05, 0.05, 0.72), (1.0, 1.0, 1.0, 0.28)
_DARK = (0.03, 0.03, 0.03)
# What dims a part of the chart, over the sheet that is there already.
_CURTAIN = (0.15, 0.15, 0.15, 0.45)
# How much of a bar's room it fills, and the cap on top of it.
_FILLS, _CAP, _CAP_ALPHA = 0.72, 1.5, 0.9
# How far below the top a bar that is cut there is broken.
_GAP = (6.0, 4.0)
# The radius and width of a ring, and of the one that is read.
_RING, _READ_RING = (3.4, 1.3), (4.6, 2.0)
_ROUND = 20


@dataclass(frozen=True, eq=False)
class Mesh:
    """Triangles: points (V,3) in pixels, colours (V,4), triangles (F,3) of indices."""

    points: NDArray[np.float32]
    colours: NDArray[np.float32]
    triangles: NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class Chart:
    """Where samples stand: x (T,) the middles of their bars, their tops (T,), pixels; room and
    width of a bar; bottom and top of the chart."""

    x: Floats
    tops: Floats
    room: float
    width: float
    bottom: float
    top: float


def chart_of(strip: SpacingStrip, width: float, height: float, scale: float) -> Chart:
    """The places of a strip's samples in a box of so many pixels; tops are NaN where the speed is
    not known. What is faster than the chart is high is cut there."""
    bottom, top = round(BELOW * scale), round(height - ABOVE * scale)
    room = (width - 2.0 * SIDE * scale) / len(strip.frames)
    middles = np.floor(SIDE * scale + (np.arange(len(strip.frames)) + 0.5) * room)
    share = strip.speed / strip.full if strip.full > 0.0 else 0.0 * strip.speed
    tops = np.round(bottom + np.minimum(share, 1.0) * (top - bottom))
    return Chart(middles, tops, room, max(1.0, np.floor(_FILLS * room)), bottom, top)


def nearest(strip: SpacingStrip, frame: float) -> int | None:
    """The sample at a frame, the nearer one between two; None outside of the range."""
    at = int(np.argmin(np.abs(strip.frames - frame)))
    return at if abs(strip.frames[at] - frame) <= 0.5 else None


def back(width: float, height: float, scale: float) -> Mesh:
    """The dark sheet under the strip, with round corners."""
    turn = np.linspace(0.0, np.pi / 2.0, 6)
    radius = _CORNER * scale
    corners = [(width, height), (0.0, height), (0.0, 0.0), (width, 0.0)]
    rim = []
    for n, (x, y) in enumerate(corners):
        centre = (abs(x - radius), abs(y - radius))
        angle = turn + n * np.pi / 2.0
        rim.append(centre + radius * np.stack((np.cos(angle), np.sin(angle)), axis=-1))
    points = np.concatenate([[(width / 2.0, height / 2.0)], *rim])
    around = np.arange(1, len(points))
    fan = np.stack((np.zeros_like(around), around, np.roll(around, -1)), axis=-1)
    return _mesh(points, np.tile(_BACK, (len(points), 1)), fan)


def curtains(
    strip: SpacingStrip, chart: Chart, span: tuple[float, float] | None, playhead: float | None
) -> list[tuple[float, float]]:
    """From where to where the chart is dimmed, pixels: outside of the span that trails are drawn
    over, and after the playhead where that is told."""
    last = strip.frames[-1] if span is None else span[1]
    if playhead is not None:
        last = min(last, playhead)
    shown = strip.frames <= last + 0.5
    if span is not None:
        shown &= strip.frames >= span[0] - 1e-6
    ends = (chart.x[0] - chart.room, chart.x[-1] + chart.room)
    if not shown.any():
        return [ends]
    half = chart.room / 2.0
    first, last = chart.x[shown][0] - half, chart.x[shown][-1] + half
    parts = [(ends[0], first), (last, ends[1])]
    return [part for part, at in zip(parts, (0, -1), strict=True) if not shown[at]]


def curtain() -> Mesh:
    """What dims the chart, over a square of one pixel."""
    zero, one = np.zeros(1), np.ones(1)
    return _boxes(zero, zero, one, one, np.array([_CURTAIN]))


def bars(strip: SpacingStrip, chart: Chart, full: float, scale: float) -> Mesh:
    """A base line where the speed is known, a bar a frame in its speed's colour, a light cap, and a
    gap below it in bars that are higher than the chart.

    full   the speed in m/s that the bright end of the colours stands for
    """
    known = np.isfinite(strip.speed)
    x, tops = chart.x[known], chart.tops[known]
    left = x - np.floor(chart.width / 2.0)
    right = left + chart.width
    tints = _with_alpha(speed_colours(strip.speed[known], full), 1.0)
    caps = _with_alpha(np.ones((len(x), 3)), _CAP_ALPHA)
    low, cap = np.full(len(x), chart.bottom), max(1.0, round(_CAP * scale))
    cut = strip.speed[known] > strip.full
    gap = np.round(tops[cut] - np.array(_GAP)[:, None] * scale)
    return joined(
        [
            _line(strip, chart, known),
            _boxes(left, low, right, tops, tints),
            _boxes(left[cut], gap[0], right[cut], gap[1], np.tile((*_DARK, 1.0), (cut.sum(), 1))),
            _boxes(left, tops, right, tops + cap, caps),
        ]
    )


def rings(strip: SpacingStrip, chart: Chart, colour: Sequence[float], scale: float) -> Mesh:
    """A ring around the top of each frame that a finding names, bolder where it is read."""
    parts = []
    for at in strip.named:
        radius, width = _READ_RING if at == strip.read else _RING
        top = chart.tops[at] if np.isfinite(chart.tops[at]) else chart.bottom
        centre = np.array((chart.x[at] + 0.5, top))
        parts.append(_ring(centre, radius * scale, width * scale, colour))
    return joined(parts)


def playhead(chart: Chart, colour: Sequence[float], scale: float) -> Mesh:
    """The playhead's line around x = 0, light between dark edges."""
    half, edge = max(1.0, round(scale)) / 2.0, max(1.0, round(scale))
    low, high = chart.bottom - 3.0 * scale, chart.top + 4.0 * scale
    x = np.array([-half - edge, -half])
    wide = np.array([half + edge, half])
    tints = np.array([(*_DARK, 0.7), (*colour[:3], 1.0)])
    return _boxes(x, np.full(2, low), wide, np.full(2, high), tints)


def _line(strip: SpacingStrip, chart: Chart, known: NDArray[np.bool_]) -> Mesh:
    """The base line, broken at gaps; it reaches to the neighbours, so that it has no holes."""
    x = chart.x[known]
    half = np.ceil((chart.x[-1] - chart.x[0]) / max(len(strip.frames) - 1, 1) / 2.0)
    tints = np.tile(_LINE, (len(x), 1))
    low = np.full(len(x), chart.bottom - 1.0)
    # Overlapping boxes would add up where they are not solid.
    ends = np.minimum(x + half, np.append(x[1:] - half, np.inf)[: len(x)])
    return _boxes(x - half, low, np.maximum(ends, x), low + 1.0, tints)


def _ring(centre: Floats, radius: float, width: float, colour: Sequence[float]) -> Mesh:
    angle = np.linspace(0.0, 2.0 * np.pi, _ROUND, endpoint=False)
    around = np.stack((np.cos(angle), np.sin(angle)), axis=-1)
    radii = [radius - 1.0, radius, radius + width, radius + width + 1.0]
    points = np.concatenate([centre + each * around for each in radii])
    dark, light = (*_DARK, 0.0), (*colour[:3], 1.0)
    tints = np.repeat(np.array([dark, light, light, dark]), _ROUND, axis=0)
    here = np.arange(_ROUND)
    there = (here + 1) % _ROUND
    one = np.stack((here, there, here + _ROUND), axis=-1)
    two = np.stack((there, there + _ROUND, here + _ROUND), axis=-1)
    faces = np.concatenate([np.concatenate((one, two)) + n * _ROUND for n in range(3)])
    return _mesh(points, tints, faces)


def _boxes(left: Floats, low: Floats, right: Floats, high: Floats, tints: Floats) -> Mesh:
    """Rectangles (N,) of colours (N,4)."""
    points = np.stack(
        [
            np.stack(each, axis=-1)
            for each in ((left, low), (right, low), (right, high), (left, high))
        ],
        axis=1,
    )
    first = 4 * np.arange(len(left))[:, None, None]
    faces = (first + np.array([[0, 1, 2], [0, 2, 3]])).reshape(-1, 3)
    return _mesh(points.reshape(-1, 2), np.repeat(tints, 4, axis=0), faces)


def _with_alpha(colours: NDArray[np.floating], alpha: float) -> Floats:
    return np.concatenate((colours, np.full((len(colours), 1), alpha)), axis=1)


def joined(meshes: Sequence[Mesh]) -> Mesh:
    """Several as one, the first below."""
    starts = np.cumsum([0, *(len(mesh.points) for mesh in meshes)])
    return Mesh(
        np.concatenate([np.zeros((0, 3), np.float32), *(mesh.points for mesh in meshes)]),
        np.concatenate([np.zeros((0, 4), np.float32), *(mesh.colours for mesh in meshes)]),
        np.concatenate(
            [
                np.zeros((0, 3), np.int32),
                *(mesh.triangles + at for mesh, at in zip(meshes, starts, strict=False)),
            ]
        ).astype(np.int32),
    )


def _mesh(points: Floats, colours: Floats, faces: NDArray[np.integer]) -> Mesh:
    flat = np.zeros((len(points), 3), dtype=np.float32)
    flat[:, :2] = points
    return Mesh(flat, colours.astype(np.float32), faces.astype(np.int32))
