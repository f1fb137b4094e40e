# SPDX-License-Identifier: GPL-3.0-or-later
"""A closed mesh around blended round bars: distance fields and surface nets, in plain numpy."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Point = tuple[float, float, float]


@dataclass(frozen=True)
class Bar:
    """A rounded bar from `a` to `b`, thickness `radius_a` to `radius_b`; metres.

    `wide_a` and `wide_b` stretch it across the figure, to both sides, by so much: a slab.
    """

    a: Point
    b: Point
    radius_a: float
    radius_b: float
    wide_a: float = 0.0
    wide_b: float = 0.0


def distance(bar: Bar, points: Floats) -> Floats:
    """Distance of points (..., 3) from a bar's skin, negative inside."""
    a, along = np.array(bar.a), np.subtract(bar.b, bar.a)
    wide, radius = np.array([bar.wide_a, bar.wide_b]), np.array([bar.radius_a, bar.radius_b])
    off = points - a
    share = np.clip(off @ along / max(float(along @ along), 1e-12), 0.0, 1.0)
    off = off - share[..., None] * along
    across = off[..., 0] - np.clip(off[..., 0], -_mix(wide, share), _mix(wide, share))
    gap = np.sqrt(across**2 + off[..., 1] ** 2 + off[..., 2] ** 2)
    return np.asarray(gap - _mix(radius, share))


def _mix(ends: Floats, share: Floats) -> Floats:
    return np.asarray(ends[0] + share * (ends[1] - ends[0]))


def blend(one: Floats, two: Floats, width: float) -> Floats:
    """Union of two fields with a fillet: where they differ by less than `width`, they melt."""
    near = np.clip(1.0 - np.abs(one - two) / width, 0.0, 1.0)
    return np.asarray(np.minimum(one, two) - 0.25 * width * near * near)


def union(bars: Sequence[Bar], points: Floats) -> Floats:
    """Distance from several bars at once, without a fillet."""
    field = distance(bars[0], points)
    for bar in bars[1:]:
        field = np.minimum(field, distance(bar, points))
    return field


def box_around(bars: Sequence[Bar], margin: float) -> tuple[Point, Point]:
    """Corners of a box that holds all bars, with room around them."""
    ends = [
        (np.array(end), np.array([radius + wide, radius, radius]))
        for bar in bars
        for end, radius, wide in (
            (bar.a, bar.radius_a, bar.wide_a),
            (bar.b, bar.radius_b, bar.wide_b),
        )
    ]
    low = np.min([end - reach for end, reach in ends], axis=0) - margin
    high = np.max([end + reach for end, reach in ends], axis=0) + margin
    return tuple(low.tolist()), tuple(high.tolist())


def grid(low: Point, high: Point, step: float) -> Floats:
    """(X,Y,Z,3) points that fill a box."""
    axes = [np.arange(start, stop + step, step) for start, stop in zip(low, high, strict=True)]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)


def surface_nets(points: Floats, field: Floats) -> tuple[Floats, Ints]:
    """(V,3) vertices and (F,4) outward faces of the surface on which the field is zero.

    points   (X,Y,Z,3) as `grid` makes them
    field    (X,Y,Z), negative inside; positive all around the box

    One vertex in each cell that the surface passes, at the mean of the crossings on its edges;
    one face across each edge that the surface crosses.
    """
    total = np.zeros((*(n - 1 for n in field.shape), 3))
    count = np.zeros(total.shape[:-1])
    for axis in range(3):
        crossed, place = _crossings(_first(points, axis), _first(field, axis))
        for cells in _cells_around(crossed):
            _first(total, axis)[cells] += place * crossed[..., None]
            _first(count, axis)[cells] += crossed
    active = count > 0
    number = (np.cumsum(active) - 1).reshape(active.shape)
    faces = [_faces(_first(field, axis), _first(number, axis)) for axis in range(3)]
    return total[active] / count[active][:, None], np.concatenate(faces)


def settled(vertices: Floats, field: Callable[[Floats], Floats], step: float) -> Floats:
    """Vertices moved onto the field's zero, which takes the grid's terraces away."""
    for _ in range(2):
        steps = 0.2 * step * np.eye(3)
        slope = [(field(vertices + d) - field(vertices - d)) / (0.4 * step) for d in steps]
        normal = np.stack(slope, axis=-1)
        scale = np.maximum((normal**2).sum(axis=-1), 0.25)
        vertices = vertices - normal * (field(vertices) / scale)[..., None]
    return vertices


def relaxed(vertices: Floats, faces: Ints, share: Floats, rounds: int) -> Floats:
    """Vertices drawn towards the mean of their neighbours, each by its `share` (V,), in rounds."""
    edges = np.concatenate([faces[:, [i, (i + 1) % 4]] for i in range(4)])
    one, two = np.concatenate((edges, edges[:, ::-1])).T
    count = np.bincount(one, minlength=len(vertices))[:, None]
    for _ in range(rounds):
        total = np.stack(
            [
                np.bincount(one, weights=column[two], minlength=len(vertices))
                for column in vertices.T
            ],
            axis=1,
        )
        vertices = vertices + share[:, None] * (total / count - vertices)
    return vertices


def _first(array: NDArray[np.generic], axis: int) -> NDArray[np.generic]:
    """A view with `axis` in front and the other two after it, still right-handed."""
    order = (axis, (axis + 1) % 3, (axis + 2) % 3)
    return array.transpose(*order, *range(3, array.ndim))


def _crossings(points: Floats, field: Floats) -> tuple[NDArray[np.bool_], Floats]:
    """Which edges along the first axis the surface crosses, and where; the rim left out."""
    low, high = field[:-1, 1:-1, 1:-1], field[1:, 1:-1, 1:-1]
    crossed = (low < 0.0) != (high < 0.0)
    share = np.where(crossed, low / np.where(crossed, low - high, 1.0), 0.0)[..., None]
    start, stop = points[:-1, 1:-1, 1:-1], points[1:, 1:-1, 1:-1]
    return crossed, start + share * (stop - start)


def _cells_around(crossed: NDArray[np.bool_]) -> list[tuple[slice, slice, slice]]:
    """The four cells that share each edge, counter-clockwise seen against the first axis."""
    _, across, along = crossed.shape
    return [
        (slice(None), slice(i, i + across), slice(j, j + along))
        for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))
    ]


def _faces(field: Floats, number: Ints) -> Ints:
    low, high = field[:-1, 1:-1, 1:-1], field[1:, 1:-1, 1:-1]
    crossed = (low < 0.0) != (high < 0.0)
    corners = np.stack([number[cells][crossed] for cells in _cells_around(crossed)], axis=1)
    leaves = (low < 0.0)[crossed]  # the edge leads out of the body: the face looks along it
    return np.where(leaves[:, None], corners, corners[:, ::-1])
