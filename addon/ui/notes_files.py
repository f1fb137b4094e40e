# SPDX-License-Identifier: GPL-3.0-or-later
"""Notes handed on: saved as a check JSON, and a check JSON opened without checking again."""

from dataclasses import replace
from pathlib import Path
from typing import Any
from uuid import uuid4

import bpy

from ...analysis import PlumblineError, Settings, Shot
from ...analysis.merge_words import taken_text
from ...analysis.note import Note
from ...analysis.notes_file import read_notes
from ...analysis.passes import Said, brought_here, merge_said, pass_of
from ...analysis.report import build_report, write_report
from ...analysis.words import count_text
from ..record.recall import quieted
from ..record.shots import keep_said, pass_before, said_of
from ..sampling.annotations import strokes_on
from . import last_check, opened
from .asked import settings_of
from .changes import why_old
from .notes_shot import ANYWAY, Meant, shot_meant
from .notes_shown import frame_now
from .operators import chosen_subject, refuse
from .redraw import redraw_viewports
from .session import session_of
from .shown import show_check, show_shot
from .wrapping import draw_text

_ENDING = ".json"
# How wide the question is whether notes of another shot are meant.
_WIDTH = 400


class _OfFile:
    """The file dialog."""

    filepath: bpy.props.StringProperty(
        name="File", description="The check report, a JSON file", subtype="FILE_PATH"
    )
    filter_glob: bpy.props.StringProperty(default="*.json", options={"HIDDEN", "SKIP_SAVE"})


class PLUMBLINE_OT_save_notes(_OfFile, bpy.types.Operator):
    """Write the findings of this character with your notes, what is kept as intended and what is
    drawn with Blender's annotation tool on the frames of notes, for somebody else to open"""

    bl_idname = "plumbline.save_notes"
    bl_label = "Save Notes"
    bl_options = {"INTERNAL"}  # noqa: RUF012 - Blender reads this from the class

    check_existing: bpy.props.BoolProperty(default=True, options={"HIDDEN", "SKIP_SAVE"})

    def invoke(self, context: bpy.types.Context, _event: Any) -> Any:
        """Ask for a place, beside the file."""
        file = Path(bpy.data.filepath)  # empty where nothing was saved yet
        self.filepath = str(file.parent / f"{file.stem or 'untitled'}-notes.json")
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    def check(self, _context: bpy.types.Context) -> bool:
        """Give the name that is typed its ending, before Blender looks whether it is taken."""
        typed, self.filepath = self.filepath, _as_json(self.filepath)
        return bool(typed != self.filepath)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Write it over nothing or over an older report."""
        scene, path = context.scene, Path(bpy.path.abspath(_as_json(self.filepath)))
        if path.name in ("", _ENDING):  # a folder, with the ending that was put behind it
            what = "Only a folder" if self.filepath else "No file"
            return refuse(self, f"{what} is chosen, expected a file for the notes: name one.")
        if not path.parent.is_dir():
            return refuse(
                self,
                f"The folder of {path.name} is not there, expected one that is: choose another "
                f"folder, or make {str(path.parent)!r} first.",
            )
        try:
            rig = chosen_subject(context, session_of(context).rig)
            shot, settings = _shot_of(context, scene, rig)
            notes = tuple(_with_drawing(scene, rig, note) for note in shot.notes)
            report = build_report(
                [replace(shot, notes=notes)], settings, blender=bpy.app.version_string
            )
            written = write_report(path, report)
        except PlumblineError as error:
            return refuse(self, str(error))
        kept = sum(1 for finding in shot.findings if not finding.counts)
        told = f", {count_text(kept, 'finding')} kept as intended," if kept else ""
        saved = f"{written.name}: {count_text(len(notes), 'note')}{told} saved."
        # Others would read of findings that may be gone.
        old = why_old(context) if last_check.check_of(scene, rig) is last_check.last_check() else ""
        self.report({"WARNING" if old else "INFO"}, f"{saved} {old}".rstrip())
        return {"FINISHED"}


class PLUMBLINE_OT_open_notes(_OfFile, bpy.types.Operator):
    """Read a check report that somebody sent: its notes join yours, nothing is measured anew"""

    bl_idname = "plumbline.open_notes"
    bl_label = "Open Notes"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    anyway: bpy.props.BoolProperty(
        name=ANYWAY,
        description="Take the notes also where the report is about another shot or another rig",
        options={"SKIP_SAVE"},
    )
    why: bpy.props.StringProperty(
        name="Why", description="What was found instead", options={"HIDDEN", "SKIP_SAVE"}
    )

    def invoke(self, context: bpy.types.Context, _event: Any) -> Any:
        """Ask for the file; where that was about another shot, whether it is meant."""
        manager = context.window_manager
        if self.why:
            return manager.invoke_props_dialog(
                self,
                width=_WIDTH,
                title="Notes of Another Shot",
                confirm_text=ANYWAY,
                cancel_default=True,
            )
        self.asks = True
        manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    def draw(self, context: bpy.types.Context) -> None:
        """What was found; in the file browser a checkbox."""
        if self.why:
            draw_text(context, self.layout, self.why, width=_WIDTH)
        else:
            self.layout.prop(self, "anyway")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Merge what it says with what is said here; show its findings where none are known."""
        scene, path = context.scene, Path(bpy.path.abspath(self.filepath))
        if not self.filepath:
            return refuse(self, "No file is chosen, expected a check report: choose one.")
        try:
            rig = chosen_subject(context, session_of(context).rig)
            meant = shot_meant(scene, rig, read_notes(path), path.name)
            if meant.why and not self.anyway:
                return self._ask(meant.why)
            ours, theirs = said_of(scene, rig), _theirs(scene, rig, meant)
            said = merge_said(ours, theirs)
            is_checked = last_check.check_of(scene, rig) is not None
            name = "" if is_checked else uuid4().hex[:12]
            if name or said != ours:
                keep_said(scene, rig, said, opened=name)
            _show(context, rig, meant, said, name)
        except PlumblineError as error:
            return refuse(self, str(error))
        redraw_viewports(context)
        self.report({"INFO"}, f"{path.name}: {taken_text(ours, theirs)}.")
        return {"FINISHED"}

    def _ask(self, why: str) -> set[str]:
        """Where the file was chosen by hand, ask whether it is meant; else refuse."""
        if not getattr(self, "asks", False):
            return refuse(self, why)
        bpy.ops.plumbline.open_notes("INVOKE_DEFAULT", filepath=self.filepath, anyway=True, why=why)
        return {"CANCELLED"}


def _as_json(filepath: str) -> str:
    """A name that was typed, with its ending; nothing stays nothing."""
    return str(bpy.path.ensure_ext(filepath, _ENDING)) if filepath else ""


def _theirs(scene: bpy.types.Scene, rig: bpy.types.Object, meant: Meant) -> Said:
    """What a report says; where this shot was checked, at the moments and findings it has now."""
    check, read = last_check.check_of(scene, rig), meant.read
    if check is None or not meant.is_ours:
        return read.said
    examination = check.examination
    return brought_here(read.shot, read.said, examination, examination.shot)


def _show(
    context: bpy.types.Context, rig: bpy.types.Object, meant: Meant, said: Said, name: str
) -> None:
    """The list with what is said now: that of the rig's own check, else that of the report, which
    the record has under a name."""
    session, scene = session_of(context), context.scene
    check, shot = last_check.check_of(scene, rig), meant.read.shot
    if check is not None:
        show_check(session, check)
        return
    is_first = meant.is_ours and pass_before(scene, rig) is None
    opened.keep(scene, rig, name, shot, pass_of(shot, meant.read.asked) if is_first else None)
    show_shot(session, scene, quieted(shot, said, ()), said)


def _shot_of(
    context: bpy.types.Context, scene: bpy.types.Scene, rig: bpy.types.Object
) -> tuple[Shot, Settings]:
    """The rig's shot with what is said of it now, and what it was asked with."""
    check, said = last_check.check_of(scene, rig), said_of(scene, rig)
    if check is not None:
        woken = () if check.outcome is None else check.outcome.woken
        examination = check.examination
        return quieted(examination.shot, said, woken), examination.basis.settings
    shot = opened.shot_of(scene, rig)
    if shot is None:
        raise PlumblineError(
            f"{rig.name!r} was not checked yet, expected what a check finds, which notes are "
            "saved with: press Check first."
        )
    return quieted(shot, said, ()), settings_of(context)


def _with_drawing(scene: bpy.types.Scene, rig: bpy.types.Object, note: Note) -> Note:
    """A note with what was drawn on its frame since it was made, where it has no drawing yet."""
    frame = frame_now(scene, rig, note.id)
    if note.strokes or frame is None:
        return note
    return replace(note, strokes=strokes_on(scene, frame))
