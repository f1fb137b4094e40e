# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `run`: a porter runs along a quay, in a first and in a polished pass."""

import bpy

from ..armature import build_rig
from ..boathook import add_boathook
from ..body import add_body
from .faults import plant
from .motion import animate
from .set import add_set
from .timing import FIRST, FPS, LAST

NAME, CHARACTER = "run", "porter"


def build(polished: bool) -> bpy.types.Object:
    """Build figure, set and animation into the current, emptied scene; return the armature."""
    rig = build_rig(CHARACTER)
    add_body(rig)
    add_boathook(rig, "hand.R")
    scene = bpy.context.scene
    add_set(scene)
    animate(rig)
    scene.name = NAME
    scene.render.fps, scene.render.fps_base = FPS, 1.0
    scene.frame_start, scene.frame_end = FIRST, LAST
    if not polished:
        plant(rig)
    scene.frame_set(FIRST)
    return rig
