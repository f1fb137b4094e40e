# SPDX-License-Identifier: GPL-3.0-or-later
"""From the scene to the screen: where points fall in a view."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
# left, bottom, right, top in pixels.
Box = tuple[float, float, float, float]
# What lies nearer to the eye's plane than this, in clip units, is not drawn.
_NEAR = 1e-4
# Cosine of the angle to the vertical from which on heights cannot be seen.
STEEP = 0.97


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
        return abs(float(self.turn[2, 2])) < STEEP


def project(view: View, points: NDArray[np.floating]) -> tuple[Floats, NDArray[np.bool_]]:
    """Pixels (N,2) from the lower left of the region, and which (N,) lie inside it."""
    clip = _clip(view, points)
    ahead = clip[:, 3] > _NEAR
    flat = clip[:, :2] / np.where(ahead, clip[:, 3], 1.0)[:, None]
    pixels = (flat + 1.0) / 2.0 * [view.width, view.height]
    inside = ahead & (np.abs(flat) <= 1.0).all(axis=1)
    return pixels, inside


def _clip(view: View, points: NDArray[np.floating]) -> Floats:
    return np.asarray(points @ view.perspective[:, :3].T + view.perspective[:, 3])
