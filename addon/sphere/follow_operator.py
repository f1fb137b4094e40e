# SPDX-License-Identifier: GPL-3.0-or-later
"""Follow: one undo step, and it says what it did."""

import bpy
import numpy as np

from ...analysis import PlumblineError
from ..sampling.scene_facts import metres_per_unit
from ..ui.operators import refuse
from ..ui.session import session_of
from .bake import refuse_linked
from .facts import COM
from .following import follow_point
from .meant import meant_point, off_text, unseen
from .point import Point

# Less than this is told of no ball.
_TOLD_M = 1e-4


class PLUMBLINE_OT_follow_sphere(bpy.types.Operator):
    """Put a ball that follows, live, on the chosen point of the character; it has no keys and \
cannot be moved by hand"""

    bl_idname = "plumbline.follow_sphere"
    bl_label = "Follow with Sphere"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Sample the rig, which says where its points are, and set the constraints."""
        scene, choices = context.scene, session_of(context).sphere
        try:
            refuse_linked(scene)
            rig, point = meant_point(context, choices.on)
            sphere, had_keys, kept = follow_point(scene, rig, point, rotation=choices.rotation)
        except PlumblineError as error:
            return refuse(self, str(error))
        keys = "; the keys that it had are gone" if had_keys else ""
        if kept:
            keys = f"; its edited keys are kept in the action {kept!r}"
        hidden, off = unseen(context, sphere), _off_m(scene, sphere, point)
        told = f"{sphere.name!r} follows {point.where.name}, live{keys}"
        if off > _TOLD_M:
            told += (
                f"; on this frame it is {off_text(off)} off, as bones are stretched or posed "
                "without keys"
            )
        self.report({"INFO"}, f"{told}{hidden}.")
        return {"FINISHED"}


def _off_m(scene: bpy.types.Scene, sphere: bpy.types.Object, point: Point) -> float:
    """How far a ball on the centre of mass is off it on the current frame, metres.

    Tips of bones that are scaled lie elsewhere than those that are measured.
    """
    at = scene.frame_current - round(float(point.frames[0]))
    if point.where.what != COM or not 0 <= at < len(point.frames) or scene.frame_subframe:
        return 0.0
    shown = np.array(sphere.matrix_world.translation) * metres_per_unit(scene)
    return float(np.linalg.norm(shown - point.positions[at]))
