# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `rigify_jump`: a captured jump keyed on the controls of Blender's Rigify human."""

import os
from pathlib import Path

import bpy

from ..captured.motions import load_motion
from ..rigify_human.build import build_human
from ..rigify_human.keying import KeyedShot, key_motion
from .faults import PLANTED, plant

__all__ = ["NAME", "PLANTED", "act", "animate", "build", "plant"]

NAME, FPS, HEIGHT_M = "rigify_jump", 24.0, 1.7
# Nearly straight legs are under the body in the air: feet that miss by more shake their knees.
TOLERANCE_M = 0.013


def build(polished: bool) -> bpy.types.Object:
    """Build the figure and its animation into the current, emptied scene; return the armature.

    Generating the rig takes most of the 5 to 9 s.
    """
    return act(build_human(height_m=HEIGHT_M), polished)


def act(rig: bpy.types.Object, polished: bool) -> bpy.types.Object:
    """Animate the figure, alone in the current scene, as `build` does; return it."""
    animate(rig)
    if not polished:
        plant(rig)
    for text in bpy.data.texts:
        text.use_module = False  # the file opens without asking to run Rigify's panel
    scene = bpy.context.scene
    scene.name = rig.animation_data.action.name = NAME
    scene.frame_set(scene.frame_start)
    return rig


def animate(rig: bpy.types.Object) -> KeyedShot:
    """Key the polished jump on the rig's controls: poses as extremes, breakdowns between."""
    motion = load_motion(Path(os.environ["PLUMBLINE_CAPTURED"]), "jump")
    return key_motion(rig, motion, tolerance_m=TOLERANCE_M, fps=FPS)
