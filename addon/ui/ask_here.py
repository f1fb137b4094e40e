# SPDX-License-Identifier: GPL-3.0-or-later
"""What makes this, here? Asked about a bone at the current frame, whatever checks have found."""

from typing import Any

import bpy

from ...analysis.basis import Body
from ...analysis.cause_words import asked_text
from ...analysis.causes.question import followed_body
from ...analysis.words import frame_text
from ..causes.search import AskedSearch
from . import asked_session, last_check
from .changes import why_old
from .searching import CHECK_GOES_ON, Searching
from .session import is_here, session_of
from .stepped import is_running


class PLUMBLINE_OT_ask_here(Searching, bpy.types.Operator):
    """Find the control and the key that make the active bone move so at this frame; Esc stops"""

    bl_idname = "plumbline.ask_here"
    bl_label = "What Makes This?"
    does, stopped = "Asking the rig", "Stopped: there is no answer."
    asking = True

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only for a bone of the rig that was checked, while the answers are not old."""
        why = _why_not(context)
        if why:
            cls.poll_message_set(why)
        return not why

    def prepare(self, context: bpy.types.Context) -> str:
        """Which followed joint is meant, and at which frame."""
        check, bone = last_check.last_check(), context.active_pose_bone
        assert check is not None
        assert bone is not None
        asked_session.forget()
        basis, frame = check.examination.basis, float(context.scene.frame_current_final)
        above = [each.name for each in bone.parent_recursive]
        body = followed_body(basis, bone.name, above)
        if body is None:
            return (
                f"{bone.name!r} moves no part that is followed, expected a control of the body: "
                "select one that does."
            )
        first, last = float(basis.frames[0]), float(basis.frames[-1])
        if not first <= frame <= last:
            return (
                f"Frame {frame_text(frame)} was not checked, expected one from "
                f"{frame_text(first)} to {frame_text(last)}: go there, or check again."
            )
        self._body: Body = body
        self._frame = frame
        return ""

    def search_of(
        self, scene: bpy.types.Scene, rig: bpy.types.Object, check: last_check.LastCheck
    ) -> AskedSearch:
        """The search for what moves that joint so."""
        return AskedSearch(scene, rig, check.examination, joint=self._body.name, frame=self._frame)

    def finish(self: Any, _context: bpy.types.Context, search: AskedSearch) -> None:
        """Show the answer in a box of its own."""
        check = last_check.last_check()
        assert check is not None
        title, causes = asked_text(self._body, self._frame), search.causes()
        asked_session.remember(asked_session.Asked(title, causes, check.serial, check.rig_uid))
        self.report({"INFO"}, f"Asked: {title}.")


def _why_not(context: bpy.types.Context) -> str:
    """Why nothing can be asked, without a full stop; or empty."""
    if is_running("check"):
        return CHECK_GOES_ON
    check = last_check.last_check()
    if check is None or not is_here(context):
        return "Press Check first"
    if old := why_old(context):
        return old.rstrip(".")
    bone = context.active_pose_bone if context.mode == "POSE" else None
    if bone is None or bone.id_data != check.rig_in(context.scene):
        return "Select a bone of the checked rig in Pose Mode"
    if session_of(context).progress >= 0.0:
        return "A search goes on: wait for it, or press Esc to end it"
    return ""
