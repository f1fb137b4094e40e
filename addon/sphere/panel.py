# SPDX-License-Identifier: GPL-3.0-or-later
"""The side panel's part about the sphere."""

import bpy

from ..ui.panel import SidePanel
from ..ui.wrapping import draw_text
from .hiding import is_hiding
from .operators import (
    PLUMBLINE_OT_bake_sphere,
    PLUMBLINE_OT_hide_rest,
    PLUMBLINE_OT_remove_sphere,
    PLUMBLINE_OT_show_again,
)
from .ours import spheres_in

PURPOSE = (
    "A ball on the character's root, to judge its path alone, as a bouncing ball. "
    "Moving the ball does not move the rig, and baking again replaces the ball's keys."
)


class PLUMBLINE_PT_sphere(SidePanel, bpy.types.Panel):
    """Bake a sphere, look at it alone."""

    bl_label = "Sphere"
    bl_idname = "PLUMBLINE_PT_sphere"
    bl_parent_id = "PLUMBLINE_PT_check"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012

    def draw(self, context: bpy.types.Context) -> None:
        """The purpose, and what can be done now."""
        layout, scene = self.layout, context.scene
        draw_text(context, layout, PURPOSE)
        column = layout.column()
        baked = bool(spheres_in(scene))
        column.operator(PLUMBLINE_OT_bake_sphere.bl_idname, icon="SPHERE")
        if is_hiding(scene):
            column.operator(PLUMBLINE_OT_show_again.bl_idname, icon="HIDE_OFF")
        elif baked:
            column.operator(PLUMBLINE_OT_hide_rest.bl_idname, icon="HIDE_ON")
        if baked:
            column.operator(PLUMBLINE_OT_remove_sphere.bl_idname, icon="X")
