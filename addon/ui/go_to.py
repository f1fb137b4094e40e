# SPDX-License-Identifier: GPL-3.0-or-later
"""From a line of the list to where it is: the frame."""

import math
from typing import Any

import bpy

from .session import is_here, session_of

# Blender holds subframes as float32.
_SAME_FRAME = 1e-3


class PLUMBLINE_OT_go_to(bpy.types.Operator):
    """Go to the frame of this finding; as with any move in time, a pose without keys is lost"""

    bl_idname = "plumbline.go_to"
    bl_label = "Go to Frame"
    # Undone like Blender's own moves of the playhead, or Ctrl Z would take back what was before.
    bl_options = {"INTERNAL", "UNDO_GROUPED"}  # noqa: RUF012
    bl_undo_group = "Frame Change"

    index: bpy.props.IntProperty(name="Line", description="Line of the list, from 0", min=0)

    @classmethod
    def description(cls, context: bpy.types.Context, properties: Any) -> str:
        """The whole finding, where the mouse rests on its number."""
        findings = session_of(context).findings
        if properties.index >= len(findings):
            return ""
        finding = findings[properties.index]
        told = " ".join(text for text in (finding.says, finding.mend) if text)
        return f"{told}\n\nGo to the frame; a pose without keys is lost"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only while there is a list, of this scene."""
        return len(session_of(context).findings) > 0 and is_here(context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Move the playhead, as the user would."""
        session = session_of(context)
        if self.index >= len(session.findings):
            return {"CANCELLED"}
        session.active = self.index
        frame = session.findings[self.index].frame
        # Where the playhead stands already, setting it would only undo a pose that is not keyed.
        if abs(frame - context.scene.frame_current_final) > _SAME_FRAME:
            context.scene.frame_set(math.floor(frame), subframe=frame - math.floor(frame))
        return {"FINISHED"}
