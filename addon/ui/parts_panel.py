# SPDX-License-Identifier: GPL-3.0-or-later
"""The parts of the chosen rig: found by the last check, corrected by hand."""

from collections.abc import Mapping
from typing import Any

import bpy

from ...analysis.parts import label
from ...analysis.roles import TELLABLE
from ...analysis.words import capital
from ..sampling.told_parts import all_taken_away, part_doubts, told_parts, unread_parts
from . import last_check
from .changes import why_old
from .panel import SidePanel
from .parts import (
    PLUMBLINE_OT_drop_part,
    PLUMBLINE_OT_find_part,
    PLUMBLINE_OT_tell_part,
    found_parts,
    parts_rig,
    shown_parts,
)
from .wrapping import draw_text

NOT_CHECKED = "Press Check: it finds the parts by itself. Correct here what it takes for another."
NONE_FOUND = (
    "No parts were found, so the rig is not judged as a figure. Say which bones are its root, feet "
    "and hands, its head and the joints of its legs."
)


class PLUMBLINE_PT_parts(SidePanel, bpy.types.Panel):
    """Which bone plays which part, each with what corrects it."""

    bl_label = "Parts"
    bl_idname = "PLUMBLINE_PT_parts"
    bl_parent_id = "PLUMBLINE_PT_check"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012 - Blender reads this from the class

    def draw(self, context: bpy.types.Context) -> None:
        """A row for each part; what looks wrong; a button for what is missing."""
        layout, rig = self.layout, parts_rig(context)
        if rig is None:
            draw_text(context, layout, "Pick a rig first.")
            return
        shown, told = shown_parts(context, rig), told_parts(context.scene, rig)
        if not shown:
            draw_text(context, layout, _nothing(context, rig))
        column = layout.column(align=True)
        for part, bone in shown.items():
            _draw_part(column, part, bone, is_told=part in told, is_there=bone in rig.data.bones)
        for sentence in _odd(context, rig, shown, told):
            draw_text(context, layout, sentence, icon="ERROR")
        layout.operator(PLUMBLINE_OT_tell_part.bl_idname, text="Add Part", icon="ADD")


def _odd(
    context: bpy.types.Context,
    rig: bpy.types.Object,
    shown: Mapping[str, str],
    told: Mapping[str, str],
) -> list[str]:
    """What looks wrong, a sentence each."""
    found = found_parts(context, rig)
    # Where the last check found none, only the next one knows what comes of another correction.
    is_known = bool(found) or not why_old(context)
    away = all_taken_away(context.scene, rig, shown) if is_known else []
    doubts = part_doubts(rig, shown, told if found else {})
    return [*unread_parts(context.scene, rig), *away, *doubts]


def _nothing(context: bpy.types.Context, rig: bpy.types.Object) -> str:
    checked = last_check.check_of(context.scene, rig) is not None
    return NONE_FOUND if checked and not found_parts(context, rig) else NOT_CHECKED


def _draw_part(column: Any, part: str, bone: str, *, is_told: bool, is_there: bool) -> None:
    """The part, its bone as a button that corrects it, and what else is done to it."""
    split = column.split(factor=0.38)
    split.label(text=capital(label(part)), translate=False)
    row = split.row(align=True)
    if part not in TELLABLE:  # a chain, or one spine too many to be chosen from
        row.label(text=bone, translate=False)
        return
    name = row.row(align=True)
    name.alert = bool(bone) and not is_there
    shown = bone or "None"
    name.operator(PLUMBLINE_OT_tell_part.bl_idname, text=shown, translate=not bone).part = part
    button = row.operator(PLUMBLINE_OT_tell_part.bl_idname, text="", icon="EYEDROPPER")
    button.part, button.active = part, True
    if is_told:
        row.operator(PLUMBLINE_OT_find_part.bl_idname, text="", icon="LOOP_BACK").part = part
    else:
        row.operator(PLUMBLINE_OT_drop_part.bl_idname, text="", icon="X").part = part
