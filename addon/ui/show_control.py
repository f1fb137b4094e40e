# SPDX-License-Identifier: GPL-3.0-or-later
"""Show: takes away just what hides the control of the finding that is read."""

from typing import Any

import bpy

from .causes_session import chosen_finding
from .go_to import chosen_control, select_target
from .go_to_target import Control
from .hidden import Hider, hiders_of, shown_text
from .operators import refuse

# What an excluded collection hides besides is seen only once it is back.
_ROUNDS = 3


class PLUMBLINE_OT_show_control(bpy.types.Operator):
    """Show the control of this finding: just what hides it, and nothing else; then select it"""

    bl_idname = "plumbline.show_control"
    bl_label = "Show"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where something hides it."""
        if hidden_control(context)[1]:
            return True
        cls.poll_message_set("Pick a finding whose control is hidden")
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Show it and say what was shown."""
        shown: list[Hider] = []
        for _round in range(_ROUNDS):
            _control, hiders = hidden_control(context)
            for each in hiders:
                each.show()
            context.view_layer.update()
            shown += hiders
        control, still = hidden_control(context)
        if still:
            kept = " and ".join(each.what for each in still)
            return refuse(self, f"Blender keeps {kept} hidden: it may be linked from another file.")
        finding = chosen_finding(context)
        told = "" if finding is None or control is None else select_target(context, finding)
        self.report({"INFO"}, f"{shown_text(shown)} {told}".strip())
        return {"FINISHED"}


def hidden_control(context: bpy.types.Context) -> tuple[Control | None, list[Hider]]:
    """The control of the finding that is read, and what hides it."""
    finding = chosen_finding(context)
    control = None if finding is None else chosen_control(context, finding)
    if control is None:
        return None, []
    space: Any = context.space_data
    view = space if space is not None and space.type == "VIEW_3D" else None
    return control, hiders_of(context, control.owner, control.bone, view)
