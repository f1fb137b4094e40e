# SPDX-License-Identifier: GPL-3.0-or-later
"""The notes of a character as they stand now, for panels and for what is drawn in the viewport.

They are read anew only where the text that keeps them, or the last check, has changed.
"""

from collections.abc import Mapping
from typing import Any

import bpy

from ...analysis import PlumblineError
from ...analysis.note import Note
from ..record.shots import pass_before, said_of
from ..record.text_block import find_text, read_record
from . import last_check

Listed = tuple[tuple[Note, float], ...]
_known: dict[str, tuple[Any, Any]] = {}


def notes_of(scene: bpy.types.Scene, rig: bpy.types.Object) -> Listed:
    """The notes of a rig, each with the frame where it is now, by that frame.

    Raises PlumblineError, one sentence, where what is kept in the file cannot be read.
    """
    key = (_stamp(), scene.session_uid, rig.session_uid, rig.name_full, _serial())
    if _known.get("notes", (None, None))[0] != key:
        _known["notes"] = key, _read(scene, rig)
    found: Listed = _known["notes"][1]
    return found


def frame_now(scene: bpy.types.Scene, rig: bpy.types.Object, note: str) -> float | None:
    """Where a note is now; None where there is no such note."""
    return next((frame for each, frame in notes_of(scene, rig) if each.id == note), None)


def drawn_on(scene: bpy.types.Scene, frame: int) -> list[Any]:
    """Strokes, metres, of the notes of a frame that are not done, of all characters of a scene."""
    key = (_stamp(), scene.session_uid, _serial())
    if _known.get("strokes", (None, None))[0] != key:
        _known["strokes"] = key, _strokes(scene) if key[0] else {}
    found: Mapping[int, list[Any]] = _known["strokes"][1]
    return found.get(frame, [])


def forget() -> None:
    """Drop what was read."""
    _known.clear()


def _stamp() -> str:
    """What the text holds; empty where there is none."""
    text = find_text()
    return "" if text is None else text.as_string()


def _serial() -> int:
    check = last_check.last_check()
    return 0 if check is None else check.serial


def _read(scene: bpy.types.Scene, rig: bpy.types.Object) -> Listed:
    said, before = said_of(scene, rig), pass_before(scene, rig)
    frames: Mapping[str, float] = {} if before is None else before.note_frames
    listed = [(note, frames.get(note.id, note.frame)) for note in said.notes]
    return tuple(sorted(listed, key=lambda each: (each[1], each[0].id)))


def _strokes(scene: bpy.types.Scene) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = {}
    try:
        names = {shot["rig"] for shot in read_record()["shots"]}
        rigs = [item for item in scene.objects if item.name_full in names]
        listed = [each for rig in rigs for each in _read(scene, rig)]
    except PlumblineError:  # the panel says so
        return found
    for note, frame in listed:
        if not note.done:
            found.setdefault(round(frame), []).extend(note.strokes)
    return found
