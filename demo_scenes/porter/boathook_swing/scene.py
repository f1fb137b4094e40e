# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds the swing: figure, quay and keys, with or without the planted faults."""

import bpy
from mathutils import Vector

from ..keys import key_shot
from ..quay import add_quay
from ..shot import build_shot
from .arms import ARMS
from .body import BODY
from .faults import plant
from .timing import EXTREMES, FIRST, FPS, LAST

NAME = "boathook_swing"


def build(polished: bool) -> bpy.types.Object:
    """Build figure, set and animation into the current, emptied scene; return the armature."""
    return build_shot(
        NAME,
        polished,
        fps=FPS,
        frames=(FIRST, LAST),
        add_set=_add_set,
        animate=animate,
        plant=plant,
    )


def _add_set(scene: bpy.types.Scene) -> None:
    add_quay(scene)
    _move_over(scene.camera)


def _move_over(camera: bpy.types.Object) -> None:
    """From his right, so that the pole is before him and seen at its length."""
    camera.location, camera.data.lens = (-2.7, -5.7, 1.5), 34.0
    aim = Vector((0.0, -0.4, 1.2)) - camera.location
    camera.rotation_euler = aim.to_track_quat("-Z", "Y").to_euler()


def animate(rig: bpy.types.Object) -> None:
    """Key the polished swing on the rig."""
    for table in (BODY, ARMS):
        key_shot(rig, table, extremes=EXTREMES)
