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
from .asked_session import asked_before, asked_here
from .causes_session import all_findings, told_finding
from .find_causes import PLUMBLINE_OT_find_causes
from .mend_operators import (
    LOOP,
    OF_MEND,
    PLUMBLINE_OT_mend_asked,
    PLUMBLINE_OT_play_loop,
    PLUMBLINE_OT_select_asked_key,
    PLUMBLINE_OT_select_key,
)
from .room import empty_rows
from .session import session_of
from .shown import WAS
from .wrapping import draw_text

# What the button says where a stand is held on several keys.
SEVERAL_KEYS = "Move Keys to Suggestion"
AS_IN_GRAPH = "Values as in the Graph Editor."
NO_CAUSE = "No single key was found."
KNOWN = "Causes are known."


def draw_search(layout: Any, session: Any) -> None:
    """The button, while causes are not known; how far the search has come, while one runs. Watch
    looks by itself, again and again: its row stays."""
    if session.progress >= 0.0 and not session.asking:
        layout.progress(factor=session.progress, text="Finding causes, Esc stops")
    elif not session.explained:
        layout.operator(PLUMBLINE_OT_find_causes.bl_idname, icon="VIEWZOOM")
    elif session.watch:
        row = layout.row()
        row.active = False
        row.label(text=KNOWN)


def draw_causes(context: bpy.types.Context, box: Any) -> None:
    """The causes of the finding that is read, what the first one clears, and what mends it; faint
    and told as of before while they are looked for again."""
    finding, past = told_finding(context)
    if finding is None:
        return
    everything = all_findings()
    others = (goes_with_text(finding, everything), clears_text(finding, everything))
    mended = finding.check == LOOP  # by a button, without a key
    known = (session_of(context).explained or past) and not mended
    is_none = known and not (told_causes(finding.causes) or any(others))
    none = NO_CAUSE if is_none else ""
    _draw_told(context, box, finding.causes, finding.id, past=past, none=none)
    first = _first_key(finding.causes)
    as_in_graph = first is not None and first.channel == "location" and bool(first.edits)
    for place, told, icon in (
        ("goes with", others[0], "NONE"),
        ("clears", others[1], "NONE"),
        ("caution", "" if first is None else caution(first), "INFO"),
        ("graph", AS_IN_GRAPH if as_in_graph and has_own_units(context) else "", "BLANK1"),
    ):
        _tell(context, box, told, icon=icon, hold=(place, finding.id), past=past)
    _draw_mends(context, box, finding)


def draw_asked(context: bpy.types.Context, layout: Any) -> None:
    """The button that asks, or how far its search has come; and the last answer."""
    session = session_of(context)
    if session.progress >= 0.0 and session.asking:
        layout.progress(factor=session.progress, text="Asking the rig, Esc stops")
    else:
        layout.operator(PLUMBLINE_OT_ask_here.bl_idname, icon="QUESTION")
    asked, past = asked_here(context), False
    if asked is None:
        asked, past = asked_before(context), True
    if asked is None:
        return
    box, of = layout.box(), f"asked {asked.title}"
    _tell(context, box, f"Asked: {asked.title}", hold=("asked", of), past=past)
    _draw_told(context, box, asked.causes, of, past=past)
    first = _first_key(asked.causes)
    if first is None:
        return
    advice = key_advice(first) if first.is_mended else caution(first)
    if advice:
        _tell(context, box, advice, icon="TOOL_SETTINGS", hold=("advice", of), past=past)
    column = box.column(align=True)
    column.operator(PLUMBLINE_OT_select_asked_key.bl_idname, icon="RESTRICT_SELECT_OFF")
    if first.is_mended and first.mend in OF_MEND:
        name = PLUMBLINE_OT_mend_asked.bl_idname
        column.operator(name, text=_label(first), icon="TOOL_SETTINGS")


def _draw_told(
    context: bpy.types.Context,
    box: Any,
    causes: Sequence[Cause],
    of: str,
    *,
    past: bool,
    none: str = "",
) -> None:
    """A line for each cause that is read; all but the first are faint. `none` is said where there
    is none; `of` is what they are the causes of."""
    told = [(cause_text(each), each.control is not None) for each in told_causes(causes)]
    told = told or [(none, False)] * bool(none)
    told += [("", False)] * empty_rows(context, "causes", of, len(told))
    for number, (text, has_control) in enumerate(told):
        icon = "KEYFRAME_HLT" if number == 0 and has_control and not past else "BLANK1"
        hold = (f"cause {number}", of)
        _tell(context, box, text, icon=icon, hold=hold, past=past, faint=number > 0)


def _tell(
    context: bpy.types.Context,
    box: Any,
    text: str,
    *,
    hold: tuple[str, str],
    past: bool,
    icon: str = "NONE",
    faint: bool = False,
) -> None:
    """A sentence that keeps its room; what is of before the last edits is faint and says so."""
    was = WAS.format(text) if text else ""
    shown = was if past else text
    draw_text(context, box, shown, icon=icon, hold=hold, room_for=was, faint=faint or past)


def _first_key(causes: Sequence[Cause]) -> Cause | None:
    """The key of the first cause, where that is what is read first."""
    first = next(iter(told_causes(causes)), None)
    if first is None or first != causes[0] or first.action_frame is None:
        return None
    return first


def _draw_mends(context: bpy.types.Context, box: Any, finding: Finding) -> None:
    """Buttons, each for one thing: nothing is mended by reading. They keep their room too."""
    if finding.check == LOOP:
        box.operator(PLUMBLINE_OT_play_loop.bl_idname, icon="PREVIEW_RANGE")
    first, rows = _first_key(finding.causes), 0
    column = box.column(align=True)
    if first is not None:
        rows = 1
        column.operator(PLUMBLINE_OT_select_key.bl_idname, icon="RESTRICT_SELECT_OFF")
        if first.is_mended and first.mend in OF_MEND:
            rows = 2
            name = OF_MEND[first.mend].bl_idname
            column.operator(name, text=_label(first), icon="TOOL_SETTINGS")
    for _row in range(empty_rows(context, "mends", finding.id, rows)):
        column.label(text="")


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
