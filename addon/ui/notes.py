# SPDX-License-Identifier: GPL-3.0-or-later
"""Notes on a frame and a part: added, gone to, done, deleted; kept with what was said of a rig."""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any
from uuid import uuid4

import bpy

from ...analysis import PlumblineError
from ...analysis.causes.question import followed_body
from ...analysis.note import Note
from ...analysis.parts import is_spelt
from ...analysis.passes import Said, note_mark, with_notes
from ...analysis.words import frame_text
from ..record.shots import keep_said, said_of
from ..sampling.annotations import strokes_on
from . import last_check
from .notes_shown import frame_now
from .operators import chosen_subject, refuse
from .preferences import preferences_of
from .redraw import redraw_viewports
from .session import is_here, session_of

_NEAR = 0.5


def _parts(_self: Any, _context: bpy.types.Context, _text: str) -> list[str]:
    """The parts that the last check found."""
    check = last_check.last_check()
    bodies = () if check is None else check.examination.basis.bodies
    return [body.part for body in bodies if body.part]


class PLUMBLINE_OT_add_note(bpy.types.Operator):
    """Say something of this frame: the note stays with the character, and what is drawn here with
    Blender's annotation tool goes along"""

    bl_idname = "plumbline.add_note"
    bl_label = "Add Note"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    text: bpy.props.StringProperty(name="Note", description="What is to be done, or kept in mind")
    part: bpy.props.StringProperty(
        name="Part",
        description="The part that it is about, such as hand.L; left empty, the whole body",
        search=_parts,
    )

    def invoke(self, context: bpy.types.Context, _event: Any) -> Any:
        """Ask, beginning with the part of the finding that is read here, or of the active bone."""
        self.text, self.part = "", _read_here(context)[1] or _part_of_bone(context) or ""
        return context.window_manager.invoke_props_dialog(self, confirm_text="Add")

    def draw(self, _context: bpy.types.Context) -> None:
        """The text before the part; an empty part says whom it means."""
        layout = self.layout
        layout.activate_init = True  # of no use where names stand apart
        layout.prop(self, "text")
        layout.activate_init = False
        layout.prop(self, "part", placeholder="Whole body")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Keep it."""
        if not self.text.strip():
            return refuse(self, "The note is empty, expected what is to be done: write it.")
        if self.part and not is_spelt(self.part):
            return refuse(
                self,
                f"{self.part!r} is no part, expected one such as hand.L, head or chest, or nothing "
                "for the whole body: choose it from the list.",
            )
        note = _made(context, self.text.strip(), self.part or None)
        told = f"Noted at frame {frame_text(note.frame)}."
        return _change(self, context, lambda said: (*said.notes, note), told)


GONE = "This note is gone, expected one of the list: choose one."


class _OfNote:
    """What is done with one note."""

    note: bpy.props.StringProperty(name="Note", description="Which note", options={"SKIP_SAVE"})


class PLUMBLINE_OT_go_to_note(_OfNote, bpy.types.Operator):
    """Go to the frame of this note; as with any move in time, a pose without keys is lost"""

    bl_idname = "plumbline.go_to_note"
    bl_label = "Go to Note"
    bl_options = {"INTERNAL", "UNDO_GROUPED"}  # noqa: RUF012
    bl_undo_group = "Frame Change"

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Move the playhead, as the user would."""
        scene = context.scene
        try:
            rig = chosen_subject(context, session_of(context).rig)
            frame = frame_now(scene, rig, self.note)
        except PlumblineError as error:
            return refuse(self, str(error))
        if frame is None:
            return refuse(self, GONE)
        if abs(frame - scene.frame_current_final) > _NEAR:
            scene.frame_set(math.floor(frame + _NEAR))
        return {"FINISHED"}


class PLUMBLINE_OT_note_done(_OfNote, bpy.types.Operator):
    """What this note asks for is done; pressed again, it is not"""

    bl_idname = "plumbline.note_done"
    bl_label = "Note Is Done"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Tick it off, or take that back."""

        def turned(said: Said) -> tuple[Note, ...]:
            return tuple(
                replace(each, done=not each.done) if each.id == self.note else each
                for each in said.notes
            )

        return _change(self, context, turned, "", of=self.note)


class PLUMBLINE_OT_delete_note(_OfNote, bpy.types.Operator):
    """Delete this note; undo brings it back"""

    bl_idname = "plumbline.delete_note"
    bl_label = "Delete Note"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Take it out."""
        left: Callable[[Said], tuple[Note, ...]] = lambda said: tuple(  # noqa: E731
            each for each in said.notes if each.id != self.note
        )
        told = "The note is deleted. Undo brings it back."
        return _change(self, context, left, told, of=self.note)


OF_NOTES = (
    PLUMBLINE_OT_add_note,
    PLUMBLINE_OT_go_to_note,
    PLUMBLINE_OT_note_done,
    PLUMBLINE_OT_delete_note,
)


def _change(
    operator: bpy.types.Operator,
    context: bpy.types.Context,
    changed: Callable[[Said], tuple[Note, ...]],
    told: str,
    *,
    of: str | None = None,
) -> set[str]:
    """Keep other notes of the chosen character; `of` is the note that must be there for it."""
    scene = context.scene
    try:
        rig = chosen_subject(context, session_of(context).rig)
        said = said_of(scene, rig)
        if of is not None and of not in {each.id for each in said.notes}:
            return refuse(operator, GONE)
        keep_said(scene, rig, with_notes(said, changed(said)))
    except PlumblineError as error:
        return refuse(operator, str(error))
    redraw_viewports(context)
    if told:
        operator.report({"INFO"}, told)
    return {"FINISHED"}


def _made(context: bpy.types.Context, text: str, part: str | None) -> Note:
    """A note on the current frame; its id is like no other, as several people's are merged."""
    frame, check = float(context.scene.frame_current_final), last_check.last_check()
    finding, of = _read_here(context)
    known = check is not None and is_here(context)
    mark = note_mark(check.examination.basis, part, frame) if check is not None and known else ""
    return Note(
        id=f"note:{uuid4().hex[:12]}",
        frame=frame,
        part=part,
        text=text,
        mark=mark,
        finding=finding if of == part else None,
        by=preferences_of(context).author,
        strokes=strokes_on(context.scene, frame),
    )


def _read_here(context: bpy.types.Context) -> tuple[str | None, str | None]:
    """Id and part of the finding that is read, where it is of this frame."""
    session, check = session_of(context), last_check.last_check()
    findings = check.examination.shot.findings if check is not None and is_here(context) else ()
    if not 0 <= session.active < len(findings):
        return None, None
    finding = findings[session.active]
    if abs(finding.peak_frame - context.scene.frame_current_final) > _NEAR:
        return None, None
    return finding.id, finding.part


def _part_of_bone(context: bpy.types.Context) -> str | None:
    """The part that the active bone moves, where its rig was checked."""
    check, bone = last_check.last_check(), context.active_pose_bone
    if check is None or bone is None or bone.id_data != check.rig_in(context.scene):
        return None
    above = [each.name for each in bone.parent_recursive]
    body = followed_body(check.examination.basis, bone.name, above)
    return None if body is None else body.part
