# SPDX-License-Identifier: GPL-3.0-or-later
"""The notes of the chosen character: read, ticked off, handed on."""

from typing import Any

import bpy

from ...analysis import PlumblineError
from ...analysis.note import Note
from ...analysis.parts import label
from ...analysis.words import capital, frame_text, sentence_start
from .markers import draw_markers
from .notes import (
    PLUMBLINE_OT_add_note,
    PLUMBLINE_OT_delete_note,
    PLUMBLINE_OT_go_to_note,
    PLUMBLINE_OT_note_done,
)
from .notes_files import PLUMBLINE_OT_open_notes, PLUMBLINE_OT_save_notes
from .notes_shown import notes_of
from .operators import chosen_subject
from .panel import SidePanel
from .session import session_of
from .wrapping import draw_text

PURPOSE = "Say something of the current frame, or open the notes that somebody sent."


class PLUMBLINE_PT_notes(SidePanel, bpy.types.Panel):
    """Each note with its frame, a box to tick, and what it says."""

    bl_label = "Notes"
    bl_idname = "PLUMBLINE_PT_notes"
    bl_parent_id = "PLUMBLINE_PT_check"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012

    def draw(self, context: bpy.types.Context) -> None:
        """The list and the buttons; the purpose, until something is listed."""
        layout = self.layout
        try:
            rig = chosen_subject(context, session_of(context).rig)
            listed = notes_of(context.scene, rig)
        except PlumblineError as error:
            draw_text(context, layout, sentence_start(str(error)))
            return
        if not listed:
            draw_text(context, layout, PURPOSE)
        for note, frame in listed:
            _draw_note(context, layout.column(align=True), note, frame)
        layout.operator(PLUMBLINE_OT_add_note.bl_idname, text="Add Note...", icon="ADD")
        row = layout.row(align=True)
        row.operator(PLUMBLINE_OT_open_notes.bl_idname, text="Open...", icon="FILE_FOLDER")
        row.operator(PLUMBLINE_OT_save_notes.bl_idname, text="Save...", icon="FILE_TICK")
        draw_markers(context, layout)


def _draw_note(context: bpy.types.Context, column: Any, note: Note, frame: float) -> None:
    row = column.row(align=True)
    tick = "CHECKBOX_HLT" if note.done else "CHECKBOX_DEHLT"
    row.operator(PLUMBLINE_OT_note_done.bl_idname, text="", icon=tick, emboss=False).note = note.id
    number = row.row()
    number.ui_units_x = 2.6
    button = number.operator(
        PLUMBLINE_OT_go_to_note.bl_idname, text=frame_text(frame), translate=False
    )
    button.note = note.id
    whom = capital(label(note.part)) if note.part else ""
    row.label(
        text=", ".join(filter(None, (whom, note.by))),
        icon="GREASEPENCIL" if note.strokes else "NONE",
        translate=False,
    )
    row.operator(PLUMBLINE_OT_delete_note.bl_idname, text="", icon="X", emboss=False).note = note.id
    said = column.column()
    said.active = not note.done
    draw_text(context, said, note.text, own=True)
