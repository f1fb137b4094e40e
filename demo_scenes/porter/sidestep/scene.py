# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds the sidestep: figure, quay, crane and keys, with or without the planted faults."""

import bpy
from mathutils import Vector

from ..keys import key_shot
from ..quay import add_quay
from ..shot import build_shot
from .arms import ARMS
from .body import BODY
from .crane import add_crane
from .faults import plant
from .feet import FEET
from .head import HEAD
from .timing import EXTREMES, FIRST, FPS, LAST

NAME = "sidestep"


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
    add_crane(scene)
    _move_in(scene.camera)


def _move_in(camera: bpy.types.Object) -> None:
    """A nearer view than the walk's: the whole step, and the hook on its way in and out."""
    camera.location, camera.data.lens = (2.9, -5.4, 1.5), 36.0
    aim = Vector((0.0, 0.0, 1.25)) - camera.location
    camera.rotation_euler = aim.to_track_quat("-Z", "Y").to_euler()


def animate(rig: bpy.types.Object) -> None:
    """Key the polished sidestep on the rig."""
    for table in (BODY, HEAD, ARMS, FEET):
        key_shot(rig, table, extremes=EXTREMES)
