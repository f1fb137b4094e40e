# SPDX-License-Identifier: GPL-3.0-or-later
"""The shapes on a trail: dots, the playhead's larger dot, rings where a finding points.

Sizes are unscaled pixels. Edges fade over a pixel, since the viewport does not smooth triangles;
a dark rim keeps dots apart from each other and from any background.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .render_data import NAMED, READ, Trace, playhead_dot
from .screen import Mesh, View, discs

Floats = NDArray[np.float64]
DOT, NAMED_DOT, PLAYHEAD_DOT = 2.4, 4.6, 5.0
# Inner edge and width of the rings.
RINGS = {NAMED: (8.0, 1.6), READ: (9.5, 2.6)}
# What is behind something is drawn with this share of its strength.
FAINT = 0.3
_DARK, _LIGHT = (0.03, 0.03, 0.03), (1.0, 1.0, 1.0)
_RIM = 0.75


def dots(view: View, traces: Sequence[Trace]) -> Mesh:
    """A dot for each frame of each trace; all rims lie beneath, or they would blot out a hold."""
    points, colours = _all(traces)
    corners = 8 if view.scale < 1.5 else 12  # there may be thousands of dots
    dark = _tint(np.tile(_DARK, (len(points), 1)), _RIM)
    rims = np.stack((dark, dark, dark * [1, 1, 1, 0]), axis=1)
    inside = _tint(colours, 1.0)
    cores = np.stack((inside, inside, inside * [1, 1, 1, 0]), axis=1)
    return join(
        [
            _stack(view, points, [0.0, DOT + 0.4, DOT + 1.4], rims, corners),
            _stack(view, points, [0.0, DOT - 0.4, DOT + 0.4], cores, corners),
        ]
    )


def named(view: View, traces: Sequence[Trace]) -> Mesh:
    """Larger dots with a ring, where findings point; the ring of the one that is read is bolder."""
    points, colours = _all(traces)
    weights = np.concatenate([np.zeros(0, np.int8), *(trace.weights for trace in traces)])
    meshes = []
    for weight, (inner, width) in RINGS.items():
        at = weights == weight
        rings = _dot_rings(NAMED_DOT) + _ring_rings(inner, width)
        tints = np.concatenate((_dot_colours(colours[at]), _ring_colours(int(at.sum()))), axis=1)
        meshes.append(_stack(view, points[at], rings, tints, corners=28))
    return join(meshes)


def playheads(view: View, traces: Sequence[Trace], frame: float) -> Mesh:
    """The dot of each trace at the playhead, larger and with a light rim."""
    places = [(trace, playhead_dot(trace, frame)) for trace in traces]
    kept = [(trace, at) for trace, at in places if at is not None]
    points = np.array([trace.points[at] for trace, at in kept], dtype=float).reshape(-1, 3)
    colours = np.array([trace.colours[at] for trace, at in kept], dtype=float).reshape(-1, 3)
    rings = [0.0, PLAYHEAD_DOT - 0.4, PLAYHEAD_DOT + 0.4, PLAYHEAD_DOT + 1.2, PLAYHEAD_DOT + 2.2]
    inside, light = _tint(colours, 1.0), _tint(np.tile(_LIGHT, (len(points), 1)), 1.0)
    dark = _tint(np.tile(_DARK, (len(points), 1)), _RIM)
    tints = np.stack((inside, inside, light, light, dark), axis=1)
    fading = np.concatenate((tints, tints[:, -1:] * [1, 1, 1, 0]), axis=1)
    return _stack(view, points, [*rings, PLAYHEAD_DOT + 3.2], fading, corners=20)


def faint(mesh: Mesh) -> NDArray[np.float32]:
    """The colours (V,4) of a mesh where something hides it."""
    return mesh.colours * np.array([1.0, 1.0, 1.0, FAINT], dtype=np.float32)


def join(meshes: Sequence[Mesh]) -> Mesh:
    """Several meshes as one."""
    starts = np.cumsum([0, *(len(mesh.points) for mesh in meshes)], dtype=np.int32)
    return Mesh(
        np.concatenate([mesh.points for mesh in meshes]),
        np.concatenate([mesh.colours for mesh in meshes]),
        np.concatenate([mesh.triangles + at for mesh, at in zip(meshes, starts, strict=False)]),
    )


def bars(places: Floats, scale: float) -> Mesh:
    """Flat bars with their ends turned down, in pixels, above places (N,2): the tops of flights."""
    shapes = [(-17, 4, 17, 8), (-17, -1, -13, 8), (13, -1, 17, 8)]
    light = [(-16, 5, 16, 7), (-16, 0, -14, 7), (14, 0, 16, 7)]
    boxes = np.array(shapes + light, dtype=float) * scale
    corners = boxes[:, [[0, 1], [2, 1], [2, 3], [0, 3]]]
    placed = np.zeros((len(places), len(boxes), 4, 3))
    placed[..., :2] = places[:, None, None] + corners
    tints = np.zeros((len(places), len(boxes), 4, 4))
    tints[:, : len(shapes)] = (*_DARK, 1.0)
    tints[:, len(shapes) :] = (*_LIGHT, 1.0)
    first = 4 * np.arange(len(places) * len(boxes), dtype=np.int32)[:, None, None]
    halves = np.array([[0, 1, 2], [0, 2, 3]], dtype=np.int32)
    return Mesh(
        placed.reshape(-1, 3).astype(np.float32),
        tints.reshape(-1, 4).astype(np.float32),
        (first + halves).reshape(-1, 3),
    )


def _all(traces: Sequence[Trace]) -> tuple[Floats, Floats]:
    points = np.concatenate([np.zeros((0, 3)), *(trace.points for trace in traces)])
    colours = np.concatenate([np.zeros((0, 3)), *(trace.colours for trace in traces)])
    return points, colours


def _dot_rings(radius: float) -> list[float]:
    return [0.0, radius - 0.4, radius + 0.4, radius + 1.4]


def _dot_colours(colours: Floats) -> Floats:
    """(N,4,4) the colour, and a rim that fades."""
    inside = _tint(colours, 1.0)
    dark = _tint(np.tile(_DARK, (len(colours), 1)), _RIM)
    return np.stack((inside, inside, dark, dark * [1, 1, 1, 0]), axis=1)


def _ring_rings(inner: float, width: float) -> list[float]:
    return [
        inner - 2.0,
        inner - 1.0,
        inner - 0.2,
        inner + 0.2,
        inner + width - 0.2,
        inner + width + 0.2,
        inner + width + 1.0,
        inner + width + 2.0,
    ]


def _ring_colours(count: int) -> Floats:
    """(N,8,4) light between two dark edges, nothing inside and outside of it."""
    light, dark = (*_LIGHT, 1.0), (*_DARK, _RIM)
    none = (*_DARK, 0.0)
    return np.tile([none, dark, dark, light, light, dark, dark, none], (count, 1, 1))


def _tint(colours: Floats, alpha: float) -> Floats:
    return np.concatenate((colours, np.full((len(colours), 1), alpha)), axis=1)


def _stack(
    view: View, points: Floats, rings: Sequence[float], colours: Floats, corners: int
) -> Mesh:
    radii = np.tile(np.asarray(rings) * view.scale, (len(points), 1))
    return discs(view, points, radii, colours, corners=corners)
