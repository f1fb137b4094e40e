# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `hop_crate`: up onto a crate and down again, in a first and a polished pass."""

import bpy

from ..armature import build_rig
from ..boathook import add_boathook
from ..body import add_body
from ..quay import add_quay
from ..shot_keys import key_shot
from .arm_poses import LEFT_ARM, RIGHT_ARM
from .body_path import BODY_PATH
from .faults import PLANTED, plant
from .feet import FEET
from .set import add_crate, place_camera
from .timing import EXTREMES, FIRST, FPS, LAST
from .trunk_poses import HEAD, TRUNK

__all__ = ["NAME", "PLANTED", "animate", "build"]

NAME, CHARACTER = "hop_crate", "porter"


def build(polished: bool) -> bpy.types.Object:
    """Build figure, set and animation into the current, emptied scene; return the armature."""
    rig = build_rig(CHARACTER)
    add_body(rig)
    add_boathook(rig, "hand.R")
    scene = bpy.context.scene
    add_crate(scene)  # before the quay, whose own crates then take other names
    add_quay(scene)
    place_camera(scene.camera)
    scene.name = NAME
    scene.render.fps, scene.render.fps_base = FPS, 1.0
    scene.frame_start, scene.frame_end = FIRST, LAST
    animate(rig)
    if not polished:
        plant(rig)
    scene.frame_set(FIRST)
    return rig


def animate(rig: bpy.types.Object) -> None:
    """Key the polished hop on the rig."""
    for table in (BODY_PATH, TRUNK, HEAD, LEFT_ARM, RIGHT_ARM, FEET):
        key_shot(rig, table, EXTREMES)
    rig.animation_data.action.name = NAME
