# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds the faint: figure, quay and keys, with or without the planted faults."""

import bpy
from mathutils import Vector

from ..boathook import lay_boathook
from ..keys import key_shot
from ..quay import add_quay
from ..shot import build_shot
from .asides import ASIDES
from .controls import channels, key_table
from .faults import plant
from .motion import from_the_side
from .timing import EXTREMES, FALLS, FIRST, FPS, LAST, STILL

NAME = "topple"


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
        carries=False,
    )


def _add_set(scene: bpy.types.Scene) -> None:
    """The boathook lies beside him; the camera sees both from the quay's edge."""
    add_quay(scene)
    lay_boathook(scene, (-0.95, 0.1), 160.0)
    camera = scene.camera
    camera.location, camera.data.lens = (4.1, -1.7, 1.40), 38.0
    aim = Vector((0.0, 0.50, 0.84)) - camera.location
    camera.rotation_euler = aim.to_track_quat("-Z", "Y").to_euler()


def animate(rig: bpy.types.Object) -> None:
    """Key the polished faint on the rig."""
    frames = [*range(FIRST, FALLS, 4), *range(FALLS, STILL), *range(STILL, LAST, 6), LAST]
    fallen = key_table(channels(from_the_side()), frames, FIRST, FPS)
    for table in (fallen, ASIDES):
        key_shot(rig, table, extremes=EXTREMES)
