# SPDX-License-Identifier: GPL-3.0-or-later
"""The house style of a check: a file of limits that were learned from approved shots."""

from pathlib import Path
from typing import Any

import bpy

from ...analysis import PlumblineError
from ...analysis.style_file import read_picked_style
from ...analysis.words import count_text
from .asked import style_file
from .operators import refuse
from .session import PlumblineSession, session_of


class PLUMBLINE_OT_pick_style(bpy.types.Operator):
    """Judge by limits that were learned from approved shots (plumbline learn writes such a file)"""

    bl_idname = "plumbline.pick_style"
    bl_label = "Pick House Style"
    bl_options = {"INTERNAL"}  # noqa: RUF012 - Blender reads this from the class

    filepath: bpy.props.StringProperty(
        name="File", description="The style, as plumbline learn writes it", subtype="FILE_PATH"
    )
    filter_glob: bpy.props.StringProperty(default="*.json", options={"HIDDEN", "SKIP_SAVE"})

    def invoke(self, context: bpy.types.Context, _event: Any) -> Any:
        """Ask for the file."""
        self.filepath = session_of(context).style_path
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Take it where it can be read."""
        if not self.filepath:
            return refuse(self, "No file is chosen, expected a house style: choose one.")
        try:
            factors = read_picked_style(bpy.path.abspath(self.filepath))
        except PlumblineError as error:
            return refuse(self, str(error))
        session_of(context).style_path = self.filepath
        name = Path(bpy.path.abspath(self.filepath)).stem
        self.report(
            {"INFO"}, f"{name} sets the limits of {count_text(len(factors), 'check')}. Press Check."
        )
        return {"FINISHED"}


class PLUMBLINE_OT_drop_style(bpy.types.Operator):
    """Judge by the checks' own limits again; the file stays"""

    bl_idname = "plumbline.drop_style"
    bl_label = "Drop House Style"
    bl_options = {"INTERNAL"}  # noqa: RUF012

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Forget which file it was."""
        session_of(context).style_path = ""
        return {"FINISHED"}


def draw_style(column: Any, session: PlumblineSession) -> None:
    """The style by its name; pressing it picks another."""
    split = column.split(factor=0.4)
    title = split.row()
    title.alignment = "RIGHT"
    title.label(text="House Style")
    row = split.row(align=True)
    if not session.style_path:
        row.operator(PLUMBLINE_OT_pick_style.bl_idname, text="None", icon="FILE_FOLDER")
        return
    name = Path(style_file(session)).stem
    row.operator(PLUMBLINE_OT_pick_style.bl_idname, text=name, icon="FILE_FOLDER", translate=False)
    row.operator(PLUMBLINE_OT_drop_style.bl_idname, text="", icon="X")
