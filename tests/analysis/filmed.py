# SPDX-License-Identifier: GPL-3.0-or-later
"""A clip with a camera, built by hand: a pinhole that stands somewhere and looks somewhere."""

from dataclasses import replace

import numpy as np

# Half the picture's height over its distance: a lens of 50 mm over a sensor 24 mm high is .24.
SPREAD = 0.24
ASPECT = 16.0 / 9.0


def look_at(eye, target):
    """(4,4) world pose of a camera that looks along its own -Z, its Y upwards."""
    eye, target = np.asarray(eye, dtype=float), np.asarray(target, dtype=float)
    out = (eye - target) / np.linalg.norm(eye - target)
    right = np.cross([0.0, 0.0, 1.0], out)
    right /= np.linalg.norm(right)
    pose = np.eye(4)
    pose[:3, 0], pose[:3, 1], pose[:3, 2], pose[:3, 3] = right, np.cross(out, right), out, eye
    return pose


def lens(spread=SPREAD, near=0.1, far=100.0):
    """(4,4) perspective projection as OpenGL defines it (glFrustum's manual page)."""
    projection = np.zeros((4, 4))
    projection[0, 0], projection[1, 1] = 1.0 / (spread * ASPECT), 1.0 / spread
    projection[2, 2] = -(far + near) / (far - near)
    projection[2, 3] = -2.0 * far * near / (far - near)
    projection[3, 2] = -1.0
    return projection


def filmed(clip, *, eye=(6.0, -1.4, 1.0), target=(0.0, -1.4, 1.0), shift=None, cuts=()):
    """The clip with a camera; shift (T,3) is added to where it stands, cuts are samples."""
    count = len(clip.frames)
    pose = np.tile(look_at(eye, target), (count, 1, 1))
    if shift is not None:
        pose[:, :3, 3] += shift
    marked = np.zeros(count, dtype=bool)
    marked[list(cuts)] = True
    return replace(
        clip,
        camera_pose=pose,
        camera_projection=np.tile(lens(), (count, 1, 1)),
        camera_cut=marked,
    )
