# SPDX-License-Identifier: GPL-3.0-or-later
"""The active camera frame by frame, with the cuts that camera markers make."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...analysis.plain_text import one_line


@dataclass(frozen=True, eq=False)
class CameraPlan:
    """cameras that are used, and (T,) which of them is active on each frame."""

    cameras: tuple[bpy.types.Object, ...]
    active: Any

    @property
    def cuts(self) -> Any:
        """(T,) True on the first frame after each change of camera."""
        changes = np.zeros(len(self.active), dtype=bool)
        changes[1:] = self.active[1:] != self.active[:-1]
        return changes


def plan_cameras(scene: bpy.types.Scene, frames: range) -> CameraPlan | None:
    """Which camera shows each frame: the last marker's at or before it, else the scene's.

    Before the first camera marker its camera counts, as Blender plays it. None where a
    frame has no camera at all.
    """
    markers = sorted((m for m in scene.timeline_markers if m.camera), key=lambda m: m.frame)
    shown = []
    for frame in frames:
        before = [marker for marker in markers if marker.frame <= frame]
        camera = before[-1].camera if before else (markers[0].camera if markers else scene.camera)
        if camera is None or camera.type != "CAMERA":
            return None
        shown.append(camera)
    used = list(dict.fromkeys(shown))
    return CameraPlan(tuple(used), np.array([used.index(camera) for camera in shown]))


def unread_cameras(cameras: Iterable[bpy.types.Object]) -> list[str]:
    """A sentence about each camera whose picture is taken otherwise than it is."""
    return [
        f"The camera {one_line(camera.name)!r} is panoramic, expected a perspective or an "
        "orthographic one: its picture is taken as if in perspective; choose another type for "
        "it, or look at paths in the world."
        for camera in cameras
        if camera.data.type == "PANO"
    ]


def camera_matrices(
    camera: bpy.types.Object, depsgraph: Any, scene: bpy.types.Scene
) -> tuple[Any, Any]:
    """Pose (4,4) and projection (4,4) of a camera as evaluated, at the scene's resolution."""
    seen = camera.evaluated_get(depsgraph)
    render = scene.render
    projection = seen.calc_matrix_camera(
        depsgraph,
        x=render.resolution_x,
        y=render.resolution_y,
        scale_x=render.pixel_aspect_x,
        scale_y=render.pixel_aspect_y,
    )
    return np.array(seen.matrix_world), np.array(projection)
