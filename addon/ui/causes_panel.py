# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes in the panel: the search for them, those of the finding that is read and of what was
asked, and what mends them."""

from collections.abc import Sequence
from typing import Any

import bpy

from ...analysis import Finding
from ...analysis.cause import Cause
from ...analysis.cause_words import cause_text, clears_text, goes_with_text, told_causes
from ...analysis.causes.advice import caution, key_advice
from .ask_here import PLUMBLINE_OT_ask_here
from .asked_session import asked_here
from .causes_session import all_findings, chosen_finding
from .find_causes import PLUMBLINE_OT_find_causes
from .mend_operators import (
    LOOP,
    OF_MEND,
    PLUMBLINE_OT_mend_asked,
    PLUMBLINE_OT_play_loop,
    PLUMBLINE_OT_select_asked_key,
    PLUMBLINE_OT_select_key,
)
from .session import session_of
from .wrapping import draw_text

# What the button says where a stand is held on several keys.
SEVERAL_KEYS = "Move Keys to Suggestion"
AS_IN_GRAPH = "Values as in the Graph Editor."
NO_CAUSE = "No single key was found."


def draw_search(layout: Any, session: Any) -> None:
    """The button, while causes are not known; how far the search has come, while one runs."""
    if session.progress >= 0.0 and not session.asking:
        layout.progress(factor=session.progress, text="Finding causes, Esc stops")
    elif not session.explained:
        layout.operator(PLUMBLINE_OT_find_causes.bl_idname, icon="VIEWZOOM")


def draw_causes(context: bpy.types.Context, box: Any) -> None:
    """The causes of the finding that is read, what the first one clears, and what mends it."""
    finding = chosen_finding(context)
    if finding is None:
        return
    _draw_told(context, box, finding.causes)
    others = (goes_with_text(finding, all_findings()), clears_text(finding, all_findings()))
    for told in others:
        if told:
            draw_text(context, box, told)
    mended = finding.check == LOOP  # by a button, without a key
    known = session_of(context).explained and not mended
    if known and not (told_causes(finding.causes) or any(others)):
        draw_text(context, box, NO_CAUSE, icon="BLANK1")
    first = _first_key(finding.causes)
    if first is not None and caution(first):
        draw_text(context, box, caution(first), icon="INFO")
    if first is not None and first.channel == "location" and first.edits and has_own_units(context):
        draw_text(context, box, AS_IN_GRAPH, icon="BLANK1")
    _draw_mends(box, finding)


def draw_asked(context: bpy.types.Context, layout: Any) -> None:
    """The button that asks, or how far its search has come; and the last answer."""
    session = session_of(context)
    if session.progress >= 0.0 and session.asking:
        layout.progress(factor=session.progress, text="Asking the rig, Esc stops")
    else:
        layout.operator(PLUMBLINE_OT_ask_here.bl_idname, icon="QUESTION")
    asked = asked_here(context)
    if asked is None:
        return
    box = layout.box()
    draw_text(context, box, f"Asked: {asked.title}")
    _draw_told(context, box, asked.causes)
    first = _first_key(asked.causes)
    if first is None:
        return
    advice = key_advice(first) if first.is_mended else caution(first)
    if advice:
        draw_text(context, box, advice, icon="TOOL_SETTINGS")
    column = box.column(align=True)
    column.operator(PLUMBLINE_OT_select_asked_key.bl_idname, icon="RESTRICT_SELECT_OFF")
    if first.is_mended and first.mend in OF_MEND:
        name = PLUMBLINE_OT_mend_asked.bl_idname
        column.operator(name, text=_label(first), icon="TOOL_SETTINGS")


def _draw_told(context: bpy.types.Context, box: Any, causes: Sequence[Cause]) -> None:
    """A line for each cause that is read; all but the first are faint."""
    for number, cause in enumerate(told_causes(causes)):
        first = number == 0
        column = box.column()
        column.active = first
        icon = "KEYFRAME_HLT" if first and cause.control is not None else "BLANK1"
        draw_text(context, column, cause_text(cause), icon=icon)


def _first_key(causes: Sequence[Cause]) -> Cause | None:
    """The key of the first cause, where that is what is read first."""
    first = next(iter(told_causes(causes)), None)
    if first is None or first != causes[0] or first.action_frame is None:
        return None
    return first


def _draw_mends(box: Any, finding: Finding) -> None:
    """Buttons, each for one thing: nothing is mended by reading."""
    if finding.check == LOOP:
        box.operator(PLUMBLINE_OT_play_loop.bl_idname, icon="PREVIEW_RANGE")
    first = _first_key(finding.causes)
    if first is None:
        return
    column = box.column(align=True)
    column.operator(PLUMBLINE_OT_select_key.bl_idname, icon="RESTRICT_SELECT_OFF")
    if first.is_mended and first.mend in OF_MEND:
        name = OF_MEND[first.mend].bl_idname
        column.operator(name, text=_label(first), icon="TOOL_SETTINGS")


def has_own_units(context: bpy.types.Context) -> bool:
    """Whether Blender's fields show locations otherwise than the Graph Editor shows their keys."""
    units = context.scene.unit_settings
    return units.system == "IMPERIAL" or (
        units.system == "METRIC" and abs(units.scale_length - 1.0) > 1e-6
    )


def _label(cause: Cause) -> str:
    """What the button of a cause's mend says."""
    if cause.mend == "move" and len({edit.frame for edit in cause.edits}) > 1:
        return SEVERAL_KEYS
    return str(OF_MEND[cause.mend].bl_label)
