# SPDX-License-Identifier: GPL-3.0-or-later
"""From the scene to the screen: where points fall in a view, and discs that face it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
# left, bottom, right, top in pixels.
Box = tuple[float, float, float, float]
# What lies nearer to the eye's plane than this, in clip units, is not drawn.
_NEAR = 1e-4
# Cosine of the angle to the vertical from which on heights cannot be seen.
_STEEP = 0.97


@dataclass(frozen=True, eq=False)
class View:
    """A region of a viewport.

    perspective (4,4) scene to clip space; turn (4,4) scene to view space
    width, height in pixels; scale the interface's scale, pixels for one unscaled pixel
    free what no other region covers; None where nothing does
    taken what Blender itself draws there: its texts, and what turns the view
    """

    perspective: Floats
    turn: Floats
    width: int
    height: int
    scale: float
    free: Box | None = None
    taken: tuple[Box, ...] = ()

    @property
    def page(self) -> Box:
        """Where texts may stand."""
        return self.free or (0.0, 0.0, float(self.width), float(self.height))

    @property
    def shows_height(self) -> bool:
        """False where the view looks straight down or up."""
        return abs(float(self.turn[2, 2])) < _STEEP


@dataclass(frozen=True, eq=False)
class Mesh:
    """Triangles: points (V,3), colours (V,4), triangles (F,3) of indices."""

    points: NDArray[np.float32]
    colours: NDArray[np.float32]
    triangles: NDArray[np.int32]


def project(view: View, points: NDArray[np.floating]) -> tuple[Floats, NDArray[np.bool_]]:
    """Pixels (N,2) from the lower left of the region, and which (N,) lie inside it."""
    clip = _clip(view, points)
    ahead = clip[:, 3] > _NEAR
    flat = clip[:, :2] / np.where(ahead, clip[:, 3], 1.0)[:, None]
    pixels = (flat + 1.0) / 2.0 * [view.width, view.height]
    inside = ahead & (np.abs(flat) <= 1.0).all(axis=1)
    return pixels, inside


def discs(
    view: View,
    points: NDArray[np.floating],
    radii: Floats,
    colours: NDArray[np.floating],
    *,
    corners: int = 12,
) -> Mesh:
    """Round shapes that face the view, each made of rings around its point.

    points (N,3); radii (N,R) of the rings in pixels; colours (N,R,4), blended from ring to ring.
    They keep the depth of their points, so that they hide behind a mesh as these do.
    """
    count, rings = radii.shape
    angle = np.linspace(0.0, 2.0 * np.pi, corners, endpoint=False)
    right, up = view.turn[0, :3], view.turn[1, :3]
    around = (np.cos(angle)[:, None] * right + np.sin(angle)[:, None] * up).astype(np.float32)
    size = (radii * _pixel_size(view, points)[:, None]).astype(np.float32)
    placed = points.astype(np.float32)[:, None, None] + size[..., None, None] * around
    tints = np.repeat(colours.astype(np.float32).reshape(-1, 4), corners, axis=0)
    return Mesh(placed.reshape(-1, 3), tints, _bands(count, rings, corners))


def _bands(count: int, rings: int, corners: int) -> NDArray[np.int32]:
    """(F,3) two triangles between each two corners of each two rings."""
    here = np.arange(corners, dtype=np.int32)
    there = (here + 1) % corners
    inner = np.stack((here, there, here + corners), axis=-1)
    outer = np.stack((there, there + corners, here + corners), axis=-1)
    band = np.concatenate((inner, outer))
    starts = np.arange(count * rings, dtype=np.int32).reshape(count, rings)[:, :-1] * corners
    return (starts.reshape(-1, 1, 1) + band).reshape(-1, 3)


def _pixel_size(view: View, points: NDArray[np.floating]) -> Floats:
    """(N,) length in the scene that covers one pixel at each point's depth; 0 behind the eye."""
    depth = _clip(view, points)[:, 3]
    stretch = float(view.perspective[0, :3] @ view.turn[0, :3])
    return np.where(depth > _NEAR, 2.0 * depth / (view.width * stretch), 0.0)


def _clip(view: View, points: NDArray[np.floating]) -> Floats:
    return np.asarray(points @ view.perspective[:, :3].T + view.perspective[:, 3])
