# SPDX-License-Identifier: GPL-3.0-or-later
"""The set of the run: the quay, seen from further off than the walk, so that it holds the run."""

import bpy
from mathutils import Vector

from ..quay import add_quay

_CAMERA, _AIM = (6.7, -7.4, 1.9), (-0.5, -2.75, 0.85)


def add_set(scene: bpy.types.Scene) -> None:
    """Build quay, light and camera; the figure runs past the camera from right to left."""
    add_quay(scene)
    camera = scene.camera
    camera.location = _CAMERA
    camera.rotation_euler = (Vector(_AIM) - camera.location).to_track_quat("-Z", "Y").to_euler()
