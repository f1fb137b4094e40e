# SPDX-License-Identifier: GPL-3.0-or-later
"""What all scenes of the porter share: figure, boathook, set, keys, and planted faults or none."""

from collections.abc import Callable

import bpy

from .armature import build_rig
from .boathook import add_boathook
from .body import add_body

CHARACTER = "porter"


def build_shot(
    name: str,
    polished: bool,
    *,
    fps: int,
    frames: tuple[int, int],
    add_set: Callable[[bpy.types.Scene], object],
    animate: Callable[[bpy.types.Object], None],
    plant: Callable[[bpy.types.Object], None],
    carries: bool = True,
) -> bpy.types.Object:
    """Build figure, set and animation into the current, emptied scene; return the armature.

    frames    the first and last frame that play; `plant` may change them
    plant     turns the polished pass into the first one
    carries   whether he holds the boathook; else both of his hands are open
    """
    rig = build_rig(CHARACTER)
    add_body(rig, fist=carries)
    if carries:
        add_boathook(rig, "hand.R")
    scene = bpy.context.scene
    scene.name = name
    scene.render.fps, scene.render.fps_base = fps, 1.0
    scene.frame_start, scene.frame_end = frames
    add_set(scene)
    animate(rig)
    rig.animation_data.action.name = name
    if not polished:
        plant(rig)
    scene.frame_set(frames[0])
    return rig
