# SPDX-License-Identifier: GPL-3.0-or-later
"""The side panel: pick a rig, check, read the list, go to a frame."""

from typing import Any

import bpy

from ..sampling.supports import NO_GROUND
from .causes_panel import draw_asked, draw_causes, draw_search
from .causes_session import chosen_finding
from .changes import why_old
from .choices import draw_choices
from .go_to_panel import draw_go_to
from .list_panel import draw_list
from .operators import PLUMBLINE_OT_check
from .session import is_here, session_of
from .wrapping import draw_text

CATEGORY = "Plumbline"
ELSEWHERE = "The last check was of another scene, or its rig is gone. Press Check to measure again."
CAUTION = "Norms are for drawn characters."


class SidePanel:
    """Where all panels of the extension stand."""

    bl_space_type = "VIEW_3D"
    bl_region_type = "UI"
    bl_category = CATEGORY


def _can_be_checked(item: bpy.types.Object) -> bool:
    return item.type == "ARMATURE" or item.type not in NO_GROUND


class PLUMBLINE_PT_check(SidePanel, bpy.types.Panel):
    """Pick, check, read."""

    bl_label = "Plumbline"
    bl_idname = "PLUMBLINE_PT_check"

    def draw(self, context: bpy.types.Context) -> None:
        """Draw what is stored; compute nothing."""
        layout, session = self.layout, session_of(context)
        if not any(_can_be_checked(item) for item in context.scene.objects):
            draw_text(context, layout, "There is no rig in this scene. Add or import one.")
            return
        draw_choices(context, layout, session)
        row = layout.row()
        row.scale_y = 1.4
        row.operator(PLUMBLINE_OT_check.bl_idname, icon="VIEWZOOM")
        self._answers(context, session)
        faint = layout.column()
        faint.active = False
        draw_text(context, faint, CAUTION)

    def _answers(self, context: bpy.types.Context, session: Any) -> None:
        layout = self.layout
        if not (session.problem or session.headline):
            draw_text(context, layout, "Press Check to measure the range that plays.")
            return
        if not is_here(context):
            draw_text(context, layout, ELSEWHERE)
            return
        why = why_old(context)
        if session.problem:
            draw_text(context, layout.box(), session.problem, icon="ERROR")
        if why:  # in the headline's place: what stands below stays where the mouse is
            draw_text(context, layout, why, icon="FILE_REFRESH")
        elif not session.problem:
            icon = "ERROR" if session.unjudged else "NONE"
            draw_text(context, layout, session.headline, icon=icon)
        for note in session.style:
            draw_text(context, layout, note.says)
        if session.findings:
            draw_list(context, layout, session)
            draw_search(layout, session)
            self._details(context, session)
        if not session.problem:
            draw_asked(context, layout)

    def _details(self, context: bpy.types.Context, session: Any) -> None:
        finding = session.findings[min(session.active, len(session.findings) - 1)]
        box = self.layout.box()
        draw_text(context, box, finding.says)
        if finding.mend:
            draw_text(context, box, finding.mend, icon="TOOL_SETTINGS")
        draw_causes(context, box)
        draw_go_to(context, box, chosen_finding(context))


class _Notes(SidePanel):
    """A folded list of sentences."""

    bl_parent_id = "PLUMBLINE_PT_check"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012
    notes = ""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where there is something to say, of this scene."""
        return len(getattr(session_of(context), cls.notes)) > 0 and is_here(context)

    def draw(self, context: bpy.types.Context) -> None:
        """One wrapped sentence after another."""
        for note in getattr(session_of(context), self.notes):
            draw_text(context, self.layout, note.says)


class PLUMBLINE_PT_looks(_Notes, bpy.types.Panel):
    """Places that may be right, and are worth an eye."""

    bl_label = "Worth a Look"
    bl_idname = "PLUMBLINE_PT_looks"
    notes = "looks"


class PLUMBLINE_PT_good(_Notes, bpy.types.Panel):
    """What holds, so that nobody polishes it again."""

    bl_label = "Good"
    bl_idname = "PLUMBLINE_PT_good"
    notes = "good"


class PLUMBLINE_PT_skipped(_Notes, bpy.types.Panel):
    """What was not judged, and why."""

    bl_label = "Not Judged"
    bl_idname = "PLUMBLINE_PT_skipped"
    notes = "skipped"
