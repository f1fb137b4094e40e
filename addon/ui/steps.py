# SPDX-License-Identifier: GPL-3.0-or-later
"""The next finding and the one before, as the list shows them, without the mouse."""

from typing import Any

import bpy

from .filters import before, visible
from .go_to import place_in, reached
from .session import is_here, session_of


class PLUMBLINE_OT_step(bpy.types.Operator):
    """Go to the next finding of the list; a pose without keys is lost"""

    bl_idname = "plumbline.step"
    bl_label = "Next or Previous Finding"
    bl_options = set()  # noqa: RUF012 - what it calls is undone, and not twice

    back: bpy.props.BoolProperty(
        name="Back",
        description="Go to the finding before instead",
        options={"SKIP_SAVE"},
    )

    @classmethod
    def description(cls, _context: bpy.types.Context, properties: Any) -> str:
        """What it does, in either direction."""
        which = "finding before" if properties.back else "next finding"
        return f"Go to the {which} of the list; a pose without keys is lost"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only while a finding is in sight."""
        if not is_here(context) or not session_of(context).findings:
            cls.poll_message_set("Press Check first: there is no finding to go to")
            return False
        if not visible(session_of(context)):
            cls.poll_message_set("Press Show All first: the filters leave nothing in the list")
            return False
        return True

    def invoke(self, context: bpy.types.Context, _event: Any) -> set[str]:
        """By hand, the view goes along as with a click on the line."""
        return self._step(context, "INVOKE_DEFAULT")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """From a script."""
        return self._step(context, "EXEC_DEFAULT")

    def _step(self, context: bpy.types.Context, how: str) -> set[str]:
        session = session_of(context)
        order, now = visible(session), session.active
        # From a line that is out of sight it goes to the one that comes after, or before.
        steps = 1 if now in order else 0
        place = before(session, now) + (-1 if self.back else steps)
        if not 0 <= place < len(order):
            self.report({"INFO"}, f"This is the {'first' if self.back else 'last'} finding.")
            return {"CANCELLED"}
        # The first is a step of undo by itself, so that undo never takes back more than the walk
        # from there: not what was active or in which mode before.
        walks = place_in(context) == reached[0]
        go = bpy.ops.plumbline.go_on if walks else bpy.ops.plumbline.go_to
        return set(go(how, True, index=order[place]))
