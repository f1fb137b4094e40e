# SPDX-License-Identifier: GPL-3.0-or-later
"""The list of what is kept as intended, below the findings."""

import bpy

from ...analysis.words import frame_text
from .intended import PLUMBLINE_OT_unkeep
from .panel import SidePanel
from .session import is_here, session_of
from .wrapping import draw_text

# What is told of those that the list does not simply leave out.
STATES = {
    "woken": "The motion has changed since: it is in the list again.",
    "gone": "It is not found any more.",
}


class PLUMBLINE_PT_intended(SidePanel, bpy.types.Panel):
    """What is kept as intended, each with its reason and a button that takes it back."""

    bl_label = "Kept as Intended"
    bl_idname = "PLUMBLINE_PT_intended"
    bl_parent_id = "PLUMBLINE_PT_check"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where something is."""
        return is_here(context) and len(session_of(context).intended) > 0

    def draw(self, context: bpy.types.Context) -> None:
        """One after another."""
        for item in session_of(context).intended:
            box = self.layout.box()
            row = box.row(align=True)
            told = f"{frame_text(item.frame)}   {item.title}"
            row.label(text=told, icon="INFO" if item.state == "woken" else "NONE", translate=False)
            button = row.operator(PLUMBLINE_OT_unkeep.bl_idname, text="", icon="X", emboss=False)
            button.finding = item.finding
            draw_text(context, box, item.reason, own=True)
            if item.state in STATES:
                faint = box.column()
                faint.active = False
                draw_text(context, faint, STATES[item.state])
