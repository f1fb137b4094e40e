# SPDX-License-Identifier: GPL-3.0-or-later
"""The picture that a camera sees: where points of the world stand on it.

Places are told in per cent of the picture's height from its centre, so that neither the
resolution nor the shape of the picture matters.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Half the picture's height, in per cent of it.
HALF = 50.0
# How far outside the picture a point may be and still be followed: a share of its size.
MARGIN = 1.25


@dataclass(frozen=True, eq=False)
class Picture:
    """A camera over T frames: pose (T,4,4) in the world, projection (T,4,4) as OpenGL has it."""

    pose: Floats
    projection: Floats

    @property
    def aspect(self) -> Floats:
        """(T,) the picture's width over its height, of square pixels."""
        return np.asarray(self.projection[:, 1, 1] / self.projection[:, 0, 0])

    @property
    def axes(self) -> Floats:
        """(T,3,3) rows: the world directions that are right, up and out of the picture."""
        columns = self.pose[:, :3, :3]
        columns = columns / np.linalg.norm(columns, axis=1, keepdims=True)
        return np.asarray(columns.swapaxes(-1, -2))

    def seen(self, points: Floats) -> tuple[Floats, Floats, Bools]:
        """Points (T,...,3) in the world: their places, their scale, and whether they show.

        places (T,...,2)   right and up from the centre, per cent of the picture's height
        scale (T,...)      per cent of the picture's height for a metre at the point's depth
        shows (T,...)      in front of the camera, in the picture or a quarter of it outside
        """
        flat = points.reshape(len(points), -1, 3)
        local = np.einsum("tij,tnj->tni", self.axes, flat - self.pose[:, None, :3, 3])
        full = np.concatenate((local, np.ones((*local.shape[:2], 1))), axis=-1)
        clip = np.einsum("tij,tnj->tni", self.projection, full)
        depth = clip[..., 3]
        ahead = depth > 1e-6
        per_unit = HALF / np.where(ahead, depth, np.inf)
        up = clip[..., 1] * per_unit
        right = clip[..., 0] * per_unit * self.aspect[:, None]
        inside = (np.abs(up) <= MARGIN * HALF) & (
            np.abs(right) <= MARGIN * HALF * self.aspect[:, None]
        )
        places = np.stack((right, up), axis=-1).reshape(*points.shape[:-1], 2)
        scale = (self.projection[:, 1, 1, None] * per_unit).reshape(points.shape[:-1])
        return places, scale, (ahead & inside).reshape(points.shape[:-1])

    def at(self, which: slice) -> "Picture":
        """The same camera on some of its frames."""
        return Picture(self.pose[which], self.projection[which])

    def through(self, spots: Floats, depth: Floats) -> Floats:
        """World points (T,P,3) that are seen at spots (P,2) and lie at depths (T,), metres.

        Spots are shares of half the picture's width and height: -1 to 1 from left to right and
        from bottom to top. Depth is counted along the line of sight.
        """
        lens, back = self.projection, -depth
        width = lens[:, 3, 2] * back + lens[:, 3, 3]
        local = np.zeros((len(depth), len(spots), 3))
        for axis in (0, 1):
            shift = lens[:, axis, 2] * back + lens[:, axis, 3]
            reach = np.outer(width, spots[:, axis]) - shift[:, None]
            local[..., axis] = reach / lens[:, axis, axis, None]
        local[..., 2] = back[:, None]
        return np.asarray(self.pose[:, None, :3, 3] + np.einsum("tji,tpj->tpi", self.axes, local))
