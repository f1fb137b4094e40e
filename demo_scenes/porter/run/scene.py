# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `run`: a porter runs along a quay, in a first and in a polished pass."""

import bpy

from ..shot import build_shot
from .faults import plant
from .motion import animate
from .set import add_set
from .timing import FIRST, FPS, LAST

NAME = "run"


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
