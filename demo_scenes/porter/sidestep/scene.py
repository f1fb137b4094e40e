# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds the sidestep: figure, quay, crane and keys, with or without the planted faults."""

import bpy
from mathutils import Vector

from ..armature import build_rig
from ..boathook import add_boathook
from ..body import add_body
from ..keys import key_once
from ..quay import add_quay
from .arms import ARMS
from .body import BODY
from .crane import add_crane
from .faults import plant
from .feet import FEET
from .head import HEAD
from .timing import EXTREMES, FIRST, FPS, LAST

NAME, CHARACTER = "sidestep", "porter"


def build(polished: bool) -> bpy.types.Object:
    """Build figure, set and animation into the current, emptied scene; return the armature."""
    rig = build_rig(CHARACTER)
    add_body(rig)
    add_boathook(rig, "hand.R")
    scene = bpy.context.scene
    scene.name = NAME
    scene.render.fps, scene.render.fps_base = FPS, 1.0
    scene.frame_start, scene.frame_end = FIRST, LAST
    add_quay(scene)
    add_crane(scene)
    _move_in(scene.camera)
    animate(rig)
    if not polished:
        plant(rig)
    scene.frame_set(FIRST)
    return rig


def _move_in(camera: bpy.types.Object) -> None:
    """A nearer view than the walk's: the whole step, and the hook on its way in and out."""
    camera.location, camera.data.lens = (2.9, -5.4, 1.5), 36.0
    aim = Vector((0.0, 0.0, 1.25)) - camera.location
    camera.rotation_euler = aim.to_track_quat("-Z", "Y").to_euler()


def animate(rig: bpy.types.Object) -> None:
    """Key the polished sidestep on the rig."""
    for table in (BODY, HEAD, ARMS, FEET):
        key_once(rig, table, extremes=EXTREMES)
    rig.animation_data.action.name = NAME
