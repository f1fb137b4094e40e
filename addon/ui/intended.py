# SPDX-License-Identifier: GPL-3.0-or-later
"""Findings that are kept as intended: quiet, with a reason, until the motion there changes."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import bpy

from ...analysis import Finding, PlumblineError, Shot
from ...analysis.passes import Intended, Said, kept_of, with_intended
from ...analysis.words import frame_text
from ..record.shots import keep_said, said_of
from . import last_check
from .causes_session import chosen_finding
from .operators import refuse
from .redraw import redraw_viewports
from .session import is_here, session_of
from .shown import show_check
from .wrapping import draw_text

_WIDTH = 320


class PLUMBLINE_OT_keep_intended(bpy.types.Operator):
    """Keep this finding as intended: it leaves the list until the motion there changes"""

    bl_idname = "plumbline.keep_intended"
    bl_label = "Keep as Intended"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    reason: bpy.props.StringProperty(
        name="Why",
        description="Why it is so on purpose; it is told wherever the finding is",
        options={"SKIP_SAVE"},
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only for a finding that counts."""
        finding = chosen_finding(context)
        if finding is None:
            cls.poll_message_set("Press Check first: there is no finding to keep")
        elif not finding.counts:
            cls.poll_message_set("It is kept as intended already")
        return finding is not None and finding.counts

    def invoke(self, context: bpy.types.Context, _event: Any) -> Any:
        """Ask for the reason."""
        return context.window_manager.invoke_props_dialog(self, width=_WIDTH, confirm_text="Keep")

    def draw(self, context: bpy.types.Context) -> None:
        """Which finding, and the field."""
        finding = chosen_finding(context)
        if finding is not None:
            told = f"{finding.title}, frame {frame_text(finding.peak_frame)}"
            self.layout.label(text=told, translate=False)
        self.layout.activate_init = True
        self.layout.prop(self, "reason")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Write it into the file's record."""
        finding, reason = chosen_finding(context), self.reason.strip()
        if finding is None or not reason:
            return refuse(
                self, "No reason is given, expected why it is so on purpose: write a few words."
            )

        def kept(said: Said, shot: Shot) -> Said:
            others = _others(said, finding.id)
            return with_intended(said, (*others, _intended(finding, shot, reason)))

        return _say(self, context, kept, f"{finding.title}: kept as intended.")


class PLUMBLINE_OT_unkeep(bpy.types.Operator):
    """Do not keep it as intended any longer: it counts again"""

    bl_idname = "plumbline.unkeep"
    bl_label = "Not Intended"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    finding: bpy.props.StringProperty(
        name="Finding", description="Id of the finding", options={"SKIP_SAVE"}
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only while something is kept, in this scene."""
        return is_here(context) and len(session_of(context).intended) > 0

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Take it out of the file's record."""
        known = [item for item in session_of(context).intended if item.finding == self.finding]
        if not known:
            return refuse(self, "It is not kept as intended, expected one of the list: press one.")
        told = f"{known[0].title}: not intended any more."

        def unkept(said: Said, _shot: Shot) -> Said:
            return with_intended(said, _others(said, self.finding))

        return _say(self, context, unkept, told)


def _intended(finding: Finding, shot: Shot, reason: str) -> Intended:
    return Intended(finding=kept_of(replace(finding, intended=None), shot), reason=reason)


def _others(said: Said, finding: str) -> tuple[Intended, ...]:
    return tuple(each for each in said.intended if each.finding.id != finding)


def _say(
    operator: bpy.types.Operator,
    context: bpy.types.Context,
    change: Callable[[Said, Shot], Said],
    told: str,
) -> set[str]:
    """Change what is said of the rig whose answers are shown, and show them anew."""
    check, session = last_check.last_check(), session_of(context)
    rig = None if check is None else check.rig_in(context.scene)
    if check is None:
        return refuse(
            operator,
            "This list was opened from a report, expected a check of this file: press Check first.",
        )
    if rig is None:
        return refuse(operator, "The rig is gone, expected the one that was checked: check again.")
    try:
        said = change(said_of(context.scene, rig), check.examination.shot)
        keep_said(context.scene, rig, said)
    except PlumblineError as error:
        return refuse(operator, str(error))
    # It stays the one that is read, as playhead and view are at it still: no line is put in its
    # place that nobody went to.
    show_check(session, check)
    redraw_viewports(context)
    operator.report({"INFO"}, told)
    return {"FINISHED"}


def draw_intended(context: bpy.types.Context, box: Any, line: Any) -> None:
    """For the finding that is read: the button that keeps it, or why it is kept."""
    if not line.reason:
        name = PLUMBLINE_OT_keep_intended.bl_idname
        box.operator(name, text="Keep as Intended...", icon="CHECKMARK")
        return
    draw_text(context, box, f"Kept as intended: {line.reason}", icon="CHECKMARK", own=True)
    box.operator(PLUMBLINE_OT_unkeep.bl_idname).finding = line.finding
