# SPDX-License-Identifier: GPL-3.0-or-later
"""Follow: one undo step, and it says what it did."""

import bpy

from ...analysis import PlumblineError
from ..ui.operators import refuse
from ..ui.session import session_of
from .bake import refuse_linked
from .following import follow_point
from .meant import meant_point, unseen


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
            sphere, had_keys = follow_point(scene, rig, point, rotation=choices.rotation)
        except PlumblineError as error:
            return refuse(self, str(error))
        keys = "; the keys that it had are gone" if had_keys else ""
        told = f"{sphere.name!r} follows {point.where.name}, live{keys}"
        self.report({"INFO"}, f"{told}{unseen(context, sphere)}.")
        return {"FINISHED"}
