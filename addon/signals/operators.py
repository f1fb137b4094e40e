# SPDX-License-Identifier: GPL-3.0-or-later
"""Signals to the Graph Editor, and away again: each one undo step, each says what it did."""

import bpy

from ...analysis import PlumblineError
from ...analysis.words import count_text
from ..sphere.bake import refuse_linked
from ..ui import last_check
from ..ui.operators import refuse
from ..ui.session import session_of
from ..ui.stepped import is_running
from .ours import NAME, blocks_of_signals, remove_holders
from .shown import show_signals


class PLUMBLINE_OT_signals(bpy.types.Operator):
    """Show in the Graph Editor, under the keys, what was measured of the drawn parts: curves on a \
small object of ours that is pinned there, follows each check and is never saved"""

    bl_idname = "plumbline.signals"
    bl_label = "Signals to Graph Editor"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """With answers of this scene, while none are being made."""
        check = last_check.last_check()
        if check is None or not check.is_of(context.scene):
            cls.poll_message_set("Press Check first: nothing was measured here")
            return False
        if is_running("check"):
            cls.poll_message_set("Wait until the check is done")
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Write the curves."""
        check = last_check.last_check()
        assert check is not None
        try:
            refuse_linked(context.scene)
        except PlumblineError as error:
            return refuse(self, str(error))
        item, count = show_signals(session_of(context), context.scene, check)
        told = (
            "the Graph Editor lists them, whatever is selected, and Normalize there lays them over"
        )
        if not _shows_graphs(context):
            told = "open a Graph Editor, which lists them; Normalize there lays them over"
        self.report(
            {"INFO"}, f"{count_text(count, 'curve')} on {item.name!r}: {told} the keys' curves."
        )
        return {"FINISHED"}


def _shows_graphs(context: bpy.types.Context) -> bool:
    """Whether any window has a Graph Editor."""
    windows = context.window_manager.windows
    return any(area.ui_type == "FCURVES" for window in windows for area in window.screen.areas)


class PLUMBLINE_OT_remove_signals(bpy.types.Operator):
    """Delete the curves of signals, and the object that they are on"""

    bl_idname = "plumbline.remove_signals"
    bl_label = "Remove Signals"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    @classmethod
    def poll(cls, _context: bpy.types.Context) -> bool:
        """Only where there are some."""
        if blocks_of_signals():
            return True
        cls.poll_message_set("There are no signals in this file")
        return False

    def execute(self, _context: bpy.types.Context) -> set[str]:
        """Delete what was made, and nothing else."""
        remove_holders()
        self.report({"INFO"}, f"Removed {NAME!r}.")
        return {"FINISHED"}
