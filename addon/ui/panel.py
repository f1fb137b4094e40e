# SPDX-License-Identifier: GPL-3.0-or-later
"""The side panel: pick a rig, check, read the list, go to a frame."""

from typing import Any

import bpy

from ...analysis.pass_words import NOTHING_NEW, SINCE_KEPT
from ..watch.state import WAITS, why_shown
from .causes_panel import draw_asked, draw_causes, draw_search
from .causes_session import chosen_finding
from .checking import draw_check
from .choices import draw_choices
from .empty import ALL_INTENDED, draw_empty, linked_text, no_answers_text, no_rig_text
from .filters import visible, worst
from .go_to_panel import draw_go_to
from .intended import draw_intended
from .list_panel import draw_list
from .session import is_here, session_of
from .shown import WAS
from .wrapping import draw_text

CATEGORY = "Plumbline"
# As long as what is told of a finding, and of all, since the pass before mostly is.
A_LINE = "The same."
AT_MOST = "Since the last pass: 10 fixed, 10 new, 10 back again."
CAUTION = "Norms are for drawn characters."


class SidePanel:
    """Where all panels of the extension stand."""

    bl_space_type = "VIEW_3D"
    bl_region_type = "UI"
    bl_category = CATEGORY


class PLUMBLINE_PT_check(SidePanel, bpy.types.Panel):
    """Pick, check, read."""

    bl_label = "Plumbline"
    bl_idname = "PLUMBLINE_PT_check"

    def draw(self, context: bpy.types.Context) -> None:
        """Draw what is stored; compute nothing."""
        layout, session = self.layout, session_of(context)
        if told := no_rig_text(context.scene):
            draw_text(context, layout, told)
            return
        draw_choices(context, layout, session)
        draw_check(layout, session)
        if session.watch_told:
            draw_text(context, layout, session.watch_told, icon="INFO")
        self._answers(context, session)
        faint = layout.column()
        faint.active = False
        draw_text(context, faint, CAUTION)

    def _answers(self, context: bpy.types.Context, session: Any) -> None:
        layout = self.layout
        if session.unread:
            draw_text(context, layout.box(), session.unread, icon="ERROR")
        if told := no_answers_text(context):
            draw_empty(context, layout, told)
            return
        if not (session.problem or session.headline):
            return  # the first check goes on
        why = why_shown(context)
        if session.problem:
            draw_text(context, layout.box(), session.problem, icon="ERROR")
        hold = ("headline", session.scene_uid)
        if why:  # in the headline's place: what stands below stays where the mouse is
            draw_text(
                context, layout, why, icon="FILE_REFRESH", hold=hold, room_for=session.headline
            )
        elif not session.problem:
            icon = "ERROR" if session.unjudged else "NONE"
            draw_text(context, layout, session.headline, icon=icon, hold=hold, room_for=WAITS)
        passes = session.passes
        if why and passes == NOTHING_NEW:  # noise beside what has changed; its place stays
            passes = " "
        hold = ("passes", session.scene_uid)
        draw_text(context, layout, passes, hold=hold, room_for=AT_MOST)
        for told in (linked_text(context), *(note.says for note in session.style)):
            if told:
                draw_text(context, layout, told)
        if session.findings:
            self._findings(context, session)
        if not session.problem:
            draw_asked(context, layout)

    def _findings(self, context: bpy.types.Context, session: Any) -> None:
        lines = session.findings
        if not session.filters.intended and all(line.reason for line in lines):
            draw_text(context, self.layout, ALL_INTENDED)
            return
        draw_list(context, self.layout, session)
        draw_search(self.layout, session)
        if session.active in (*visible(session), *worst(session)):
            self._details(context, lines[session.active])

    def _details(self, context: bpy.types.Context, line: Any) -> None:
        box = self.layout.box()
        since, why = line.since, ""
        if line.woken:  # what follows are the user's own words
            since, mark, why = since.partition(SINCE_KEPT)
            since += mark
        of = line.finding
        draw_text(context, box, line.says, hold=("says", of))
        draw_text(
            context,
            box,
            since,
            icon="INFO" if line.woken else "NONE",
            hold=("since", of),
            room_for=A_LINE,
        )
        if why:
            draw_text(context, box, why, icon="BLANK1", own=True)
        was = line.mend if line.past or not line.mend else WAS.format(line.mend)
        hold = ("mend", of)
        draw_text(
            context, box, line.mend, icon="TOOL_SETTINGS", hold=hold, room_for=was, faint=line.past
        )
        draw_causes(context, box)
        draw_go_to(context, box, chosen_finding(context))
        draw_intended(context, box, line)


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


class PLUMBLINE_PT_fixed(_Notes, bpy.types.Panel):
    """What the pass before had and this one has not."""

    bl_label = "Fixed Since the Last Pass"
    bl_idname = "PLUMBLINE_PT_fixed"
    notes = "fixed"


class PLUMBLINE_PT_not_told(_Notes, bpy.types.Panel):
    """What the pass before told, and this one does not because other choices were made."""

    bl_label = "Not Told With These Choices"
    bl_idname = "PLUMBLINE_PT_not_told"
    notes = "not_told"


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
