# SPDX-License-Identifier: GPL-3.0-or-later
"""The panel of what shows spacing besides the trails."""

import bpy

from . import last_check
from .panel import SidePanel
from .session import session_of


class PLUMBLINE_PT_spacing(SidePanel, bpy.types.Panel):
    """The strip."""

    bl_label = "Spacing"
    bl_idname = "PLUMBLINE_PT_spacing"
    bl_parent_id = "PLUMBLINE_PT_trails"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only while there is a check to draw, of this scene."""
        check = last_check.last_check()
        return check is not None and check.is_of(context.scene)

    def draw(self, context: bpy.types.Context) -> None:
        """Draw what is stored."""
        session = session_of(context)
        column = self.layout.column()
        column.active = session.trails.show
        column.prop(session.spacing, "strip")
