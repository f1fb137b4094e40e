# SPDX-License-Identifier: GPL-3.0-or-later
"""How much of a blade a camera sees, measured on the picture."""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from .blade import NAME, blade_points

Floats = NDArray[np.float64]


def seen_share(clip: Clip) -> Floats:
    """(T,) share of the blade's width, or of its length where that is less, on the picture.

    Measured on the picture: the four corners of the blade, projected.
    """
    points = blade_points(clip)
    across = 0.5 * (points["edge"] - points["back"])
    corners = np.array([points[end] + n * across for end in ("base", "tip") for n in (-1.0, 1.0)])
    joint = clip.joint(NAME)
    world = clip.positions[:, joint, None] + quat.rotate(clip.rotations[:, joint, None], corners)
    full = np.concatenate((world, np.ones((*world.shape[:2], 1))), axis=-1)
    lens = clip.camera_projection @ np.linalg.inv(clip.camera_pose)
    seen = np.einsum("tij,tnj->tni", lens, full)
    aspect = clip.camera_projection[:, 1, 1] / clip.camera_projection[:, 0, 0]
    flat = seen[..., :2] / seen[..., 3:]
    flat[..., 0] *= aspect[:, None]
    scale = clip.camera_projection[:, 1, 1] / seen[..., 3].mean(axis=1)
    length = 0.5 * (flat[:, 2] + flat[:, 3] - flat[:, 0] - flat[:, 1])
    size = np.linalg.norm(length, axis=-1)
    unit = length / np.maximum(size, 1e-12)[:, None]
    wide = 0.5 * (flat[:, 1] - flat[:, 0] + flat[:, 3] - flat[:, 2])
    width = np.abs(wide[:, 0] * unit[:, 1] - wide[:, 1] * unit[:, 0])
    whole = np.linalg.norm(points["tip"] - points["base"])
    return np.minimum(size / whole, width / (2.0 * np.linalg.norm(across))) / scale


def longest_run(on: NDArray[np.bool_]) -> int:
    """How many samples the longest stretch of True lasts."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], on, [False])).astype(int)))
    return int((edges[1::2] - edges[::2]).max(initial=0))
