# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `hop_crate`: up onto a crate and down again, in a first and a polished pass."""

import bpy

from ..keys import key_shot
from ..shot import build_shot
from ..smooth import AT_REST
from .arm_poses import LEFT_ARM, RIGHT_ARM
from .body_path import BODY_PATH
from .faults import PLANTED, plant
from .feet import FEET, FEET_PATHS, HEELS
from .set import add_set
from .timing import EXTREMES, FIRST, FLIGHTS, FPS, HEEL_RISES, LAST
from .trunk_poses import HEAD, TRUNK

__all__ = ["NAME", "PLANTED", "animate", "build"]

NAME = "hop_crate"


def build(polished: bool) -> bpy.types.Object:
    """Build figure, set and animation into the current, emptied scene; return the armature."""
    return build_shot(
        NAME,
        polished,
        fps=FPS,
        frames=(FIRST, LAST),
        add_set=add_set,
        animate=animate,
        plant=plant,
    )


def animate(rig: bpy.types.Object) -> None:
    """Key the polished hop on the rig."""
    for table in (TRUNK, HEAD, LEFT_ARM, RIGHT_ARM, FEET):
        key_shot(rig, table, extremes=EXTREMES)
    key_shot(rig, FEET_PATHS, extremes=EXTREMES, smooth=FLIGHTS)
    key_shot(rig, HEELS, extremes=EXTREMES, smooth=HEEL_RISES, ends=(0.0, None))
    key_shot(rig, BODY_PATH, extremes=EXTREMES, smooth=((FIRST, LAST),), ends=AT_REST)
