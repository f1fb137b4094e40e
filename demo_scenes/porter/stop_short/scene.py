# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds the stop: figure, quay and keys, with or without the planted faults."""

import bpy

from ..armature import build_rig
from ..boathook import add_boathook
from ..body import add_body
from ..keys import key_once
from .arms import ARMS
from .body import BODY
from .faults import plant
from .feet import FEET
from .quay_edge import add_quay_edge
from .timing import EXTREMES, FIRST, FPS, LAST
from .walk_in import walked_into

NAME, CHARACTER = "stop_short", "porter"


def build(polished: bool) -> bpy.types.Object:
    """Build figure, set and animation into the current, emptied scene; return the armature."""
    rig = build_rig(CHARACTER)
    add_body(rig)
    add_boathook(rig, "hand.R")
    scene = bpy.context.scene
    scene.name = NAME
    scene.render.fps, scene.render.fps_base = FPS, 1.0
    scene.frame_start, scene.frame_end = FIRST, LAST
    add_quay_edge(scene)
    animate(rig)
    if not polished:
        plant(rig)
    scene.frame_set(FIRST)
    return rig


def animate(rig: bpy.types.Object) -> None:
    """Key the polished stop on the rig."""
    for table in (BODY, ARMS, FEET):
        key_once(rig, walked_into(table), extremes=EXTREMES)
    rig.animation_data.action.name = NAME
