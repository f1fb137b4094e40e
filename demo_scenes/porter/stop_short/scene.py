# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds the stop: figure, quay and keys, with or without the planted faults."""

import bpy

from ..keys import key_shot
from ..shot import build_shot
from .arms import ARMS
from .body import BODY
from .faults import plant
from .feet import FEET
from .quay_edge import add_quay_edge
from .timing import EXTREMES, FIRST, FPS, LAST
from .walk_in import walked_into

NAME = "stop_short"


def build(polished: bool) -> bpy.types.Object:
    """Build figure, set and animation into the current, emptied scene; return the armature."""
    return build_shot(
        NAME,
        polished,
        fps=FPS,
        frames=(FIRST, LAST),
        add_set=add_quay_edge,
        animate=animate,
        plant=plant,
    )


def animate(rig: bpy.types.Object) -> None:
    """Key the polished stop on the rig."""
    for table in (BODY, ARMS, FEET):
        key_shot(rig, walked_into(table), extremes=EXTREMES)
