# SPDX-License-Identifier: GPL-3.0-or-later
"""Looks for the causes of all findings, while the list can be read already."""

from typing import Any

import bpy

from ...analysis.cause_words import told_causes
from ...analysis.words import count_text
from ..causes.search import CauseSearch
from .causes_session import store_causes
from .changes import why_old
from .last_check import LastCheck, last_check
from .searching import CHECK_GOES_ON, Searching
from .session import is_here, session_of
from .stepped import is_running


class PLUMBLINE_OT_find_causes(Searching, bpy.types.Operator):
    """Find the control and the key that cause each finding, on a copy of the rig; Esc stops"""

    bl_idname = "plumbline.find_causes"
    bl_label = "Find Causes"
    does, stopped = "Finding causes", "Stopped. Find Causes begins again."

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only for answers of this scene that are not old."""
        why = ""
        if is_running("check"):
            why = CHECK_GOES_ON
        elif not len(session_of(context).findings) or not is_here(context):
            why = "Press Check first: there is no finding to explain"
        elif last_check() is None:
            why = "Press Check first: this list was opened from a report"
        elif old := why_old(context):
            why = old.rstrip(".")
        if why:
            cls.poll_message_set(why)
        return not why

    def search_of(
        self, scene: bpy.types.Scene, rig: bpy.types.Object, check: LastCheck
    ) -> CauseSearch:
        """The search for the causes of all findings."""
        return CauseSearch(scene, rig, check.unexplained)

    def finish(self: Any, context: bpy.types.Context, search: CauseSearch) -> None:
        """Put them into the list."""
        shot = search.shot()
        store_causes(session_of(context), shot)
        known = sum(1 for each in shot.findings if _has_control(each))
        told = f"Causes of {known} of {count_text(len(shot.findings), 'finding')} are known"
        rest = "" if known == len(shot.findings) else ", no single key was found for the rest"
        self.report({"INFO"}, f"{told}{rest}.")


def _has_control(finding: Any) -> bool:
    return any(cause.control is not None for cause in told_causes(finding.causes))
