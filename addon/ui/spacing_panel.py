# SPDX-License-Identifier: GPL-3.0-or-later
"""The panel of what shows spacing besides the trails."""

import bpy

from ..signals.operators import PLUMBLINE_OT_remove_signals, PLUMBLINE_OT_signals
from ..signals.ours import holders
from . import last_check
from .earlier_pass import earlier_of
from .panel import SidePanel
from .session import session_of
from .wrapping import draw_text

NO_EARLIER = (
    "Press Check once more after a change: then the pass before is drawn thin. Its paths are held "
    "while Blender runs, and not in the file."
)


class PLUMBLINE_PT_spacing(SidePanel, bpy.types.Panel):
    """The strip, the earlier pass, and signals in the Graph Editor."""

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
        check = last_check.last_check()
        has_earlier = check is not None and earlier_of(check) is not None
        row = column.row()
        row.enabled = has_earlier
        row.prop(session.spacing, "earlier")
        if not has_earlier:
            draw_text(context, column, NO_EARLIER)
        row = self.layout.row(align=True)
        row.operator(PLUMBLINE_OT_signals.bl_idname)
        if holders():
            row.operator(PLUMBLINE_OT_remove_signals.bl_idname, text="", icon="X")
