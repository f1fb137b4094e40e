# SPDX-License-Identifier: GPL-3.0-or-later
"""What this extension keeps in the file, listed, with a button that clears it."""

from collections.abc import Sequence
from typing import Any

import bpy

from ...analysis.words import count_text
from .changes import note_declared
from .kept_here import KINDS, Held, elsewhere, survey
from .opened import show_what_is_said
from .panel import SidePanel
from .wrapping import draw_text

NOTHING = "This file holds nothing of Plumbline's."
STAYS = "Linked from other files, and cleared there: {names}."
_MOST_NAMES = 4


class PLUMBLINE_OT_clear(bpy.types.Operator):
    """Take out of the file what Plumbline keeps in it; your own objects and keys stay"""

    bl_idname = "plumbline.clear"
    bl_label = "Clear Plumbline's Data"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    kinds: bpy.props.EnumProperty(
        name="Clear",
        description="What is taken out",
        items=[(kind.name, kind.title, kind.what) for kind in KINDS],
        options={"ENUM_FLAG", "SKIP_SAVE"},
        default={kind.name for kind in KINDS},
    )

    @classmethod
    def poll(cls, _context: bpy.types.Context) -> bool:
        """Where there is something."""
        found = survey()
        if any(kind.count(found) for kind in KINDS):
            return True
        cls.poll_message_set("This file holds nothing of Plumbline's")
        return False

    def invoke(self, context: bpy.types.Context, _event: Any) -> Any:
        """Show what there is, and ask."""
        return context.window_manager.invoke_props_dialog(
            self, title="Clear Plumbline's Data", confirm_text="Clear"
        )

    def draw(self, context: bpy.types.Context) -> None:
        """A checkbox for each kind that there is, with how many; what stays."""
        layout, found = self.layout, survey()
        for kind in KINDS:
            if count := kind.count(found):
                row = layout.row()
                row.prop_enum(self, "kinds", kind.name)
                row.label(text=str(count), translate=False)
        draw_elsewhere(context, layout, found)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Clear what was chosen, in one step that undo takes back."""
        told, found = [], survey()
        for kind in KINDS:
            if kind.name in self.kinds and (count := kind.count(found)):
                kind.clear()
                told.append(f"{kind.title.lower()}: {count}")
        if not told:
            self.report({"INFO"}, "Nothing was chosen, and nothing is cleared.")
            return {"CANCELLED"}
        if "declared" in self.kinds:
            note_declared()
        show_what_is_said(context)  # what was kept as intended is loud again
        self.report({"INFO"}, f"Cleared {', '.join(told)}. Undo brings it back.")
        return {"FINISHED"}


class PLUMBLINE_PT_kept(SidePanel, bpy.types.Panel):
    """What Plumbline keeps in the file, each kind with a button that clears it."""

    bl_label = "Kept in This File"
    bl_idname = "PLUMBLINE_PT_kept"
    bl_parent_id = "PLUMBLINE_PT_check"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012
    bl_order = 100  # after all that is read

    def draw(self, context: bpy.types.Context) -> None:
        """The kinds that there are."""
        layout, found = self.layout, survey()
        held = [(kind, count) for kind in KINDS if (count := kind.count(found))]
        if not held:
            draw_text(context, layout, NOTHING)
        column = layout.column(align=True)
        for kind, count in held:
            row = column.row()
            row.label(text=kind.title)
            row = row.row()
            row.alignment = "RIGHT"
            row.label(text=str(count), translate=False)
            button = row.operator(PLUMBLINE_OT_clear.bl_idname, text="", icon="X", emboss=False)
            button.kinds = {kind.name}
        draw_elsewhere(context, layout, found)
        if held:
            layout.operator(PLUMBLINE_OT_clear.bl_idname, text="Clear Plumbline's Data...")


def draw_elsewhere(context: bpy.types.Context, layout: Any, found: Sequence[Held]) -> None:
    """What carries something of ours, and stands in other files."""
    names = elsewhere(found)
    if not names:
        return
    shown = ", ".join(names[:_MOST_NAMES])
    if len(names) > _MOST_NAMES:
        shown += f" and {count_text(len(names) - _MOST_NAMES, 'other')}"
    draw_text(context, layout, STAYS.format(names=shown))
