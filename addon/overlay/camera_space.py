# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the picture had a point at its frame, told so that it can be put before the camera now.

A point of frame f is kept as its place on the picture of frame f, times its depth where the
camera of now draws in perspective; its depth is that of frame f. `placing` turns such places into
the scene, for the camera as it stands now and with the lens that it has now: they lie on the
picture where they lay at f, wherever one looks from. Nothing that is kept hangs on the playhead.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...analysis.clip import Clip

Floats = NDArray[np.float64]
# A depth in scene units below which nothing is in front of a camera.
_NEAREST = 1e-5


@dataclass(frozen=True, eq=False)
class Taken:
    """The camera of T frames: frames (T,), pose (T,4,4) in metres, projection (T,4,4) of metres,
    and cuts (T,) True where another camera begins."""

    frames: Floats
    pose: Floats
    projection: Floats
    cuts: NDArray[np.bool_]


def taken_of(clip: Clip) -> Taken | None:
    """The clip's camera; None where it has none."""
    if clip.camera_pose is None or clip.camera_projection is None:
        return None
    cuts = clip.camera_cut
    if cuts is None:
        cuts = np.zeros(len(clip.frames), dtype=bool)
    return Taken(clip.frames, clip.camera_pose, clip.camera_projection, cuts)


def on_picture(
    taken: Taken, frames: Floats, points: Floats, metres_per_unit: float, *, flat: bool
) -> tuple[Floats, NDArray[np.bool_]]:
    """Points (N,3) in metres at frames (N,): how they are kept (N,3), and which (N,) are ahead.

    flat   the camera of now is orthographic
    Frames between two are those of the camera at the earlier one.
    """
    at = np.clip(np.searchsorted(taken.frames, np.asarray(frames) + 1e-6) - 1, 0, None)
    pose, lens = taken.pose[at], taken.projection[at]
    # Unit axes: the scale of a camera is none of its picture's.
    axes = pose[:, :3, :3] / np.linalg.norm(pose[:, :3, :3], axis=1, keepdims=True)
    # Inverted, not turned over: below a parent that is scaled unevenly they lean.
    local = np.einsum("nij,nj->ni", np.linalg.inv(axes), points - pose[:, :3, 3])
    full = np.concatenate((local, np.ones((len(local), 1))), axis=1)
    clip = np.einsum("nij,nj->ni", lens, full)
    ahead = -local[:, 2] > _NEAREST
    spots = clip[:, :2] / np.where(ahead, clip[:, 3], 1.0)[:, None]
    depth = -local[:, 2] / metres_per_unit
    kept = np.column_stack((spots if flat else spots * depth[:, None], -depth))
    return kept, ahead


def placing(pose: Floats, projection: Floats) -> Floats:
    """(4,4) from what is kept to the scene, by the camera's pose and projection of now, (4,4) each
    in the scene's units."""
    axes = pose[:3, :3] / np.linalg.norm(pose[:3, :3], axis=0)
    lens = np.eye(4)
    for axis in (0, 1):
        across = projection[axis, axis]
        lens[axis, axis] = 1.0 / across
        lens[axis, 2:] = -projection[axis, 2:] / across
    turn = np.eye(4)
    turn[:3, :3], turn[:3, 3] = axes, pose[:3, 3]
    return np.asarray(turn @ lens)
