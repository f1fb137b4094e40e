# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes in the panel: the search for them, those of the finding that is read, what mends it."""

from typing import Any

import bpy

from ...analysis import Finding
from ...analysis.cause_words import cause_text, clears_text, goes_with_text, told_causes
from .causes_session import all_findings, chosen_finding
from .find_causes import PLUMBLINE_OT_find_causes
from .mend_operators import LOOP, OF_MEND, PLUMBLINE_OT_play_loop, PLUMBLINE_OT_select_key
from .wrapping import draw_text


def draw_search(layout: Any, session: Any) -> None:
    """The button, while causes are not known; how far the search has come, while one runs."""
    if session.progress >= 0.0:
        layout.progress(factor=session.progress, text="Finding causes, Esc stops")
    elif not session.explained:
        layout.operator(PLUMBLINE_OT_find_causes.bl_idname, icon="VIEWZOOM")


def draw_causes(context: bpy.types.Context, box: Any) -> None:
    """The causes of the finding that is read, what the first one clears, and what mends it."""
    finding = chosen_finding(context)
    if finding is None:
        return
    for number, cause in enumerate(told_causes(finding.causes)):
        first = number == 0
        column = box.column()
        column.active = first
        icon = "KEYFRAME_HLT" if first and cause.control is not None else "BLANK1"
        draw_text(context, column, cause_text(cause), icon=icon)
    for told in (goes_with_text(finding, all_findings()), clears_text(finding, all_findings())):
        if told:
            draw_text(context, box, told)
    _draw_mends(box, finding)


def _draw_mends(box: Any, finding: Finding) -> None:
    """Buttons, each for one thing: nothing is mended by reading."""
    if finding.check == LOOP:
        box.operator(PLUMBLINE_OT_play_loop.bl_idname, icon="PREVIEW_RANGE")
    first = next(iter(told_causes(finding.causes)), None)
    if first is None or first != finding.causes[0] or first.action_frame is None:
        return
    column = box.column(align=True)
    column.operator(PLUMBLINE_OT_select_key.bl_idname, icon="RESTRICT_SELECT_OFF")
    if first.mend in OF_MEND:
        column.operator(OF_MEND[first.mend].bl_idname, icon="TOOL_SETTINGS")
