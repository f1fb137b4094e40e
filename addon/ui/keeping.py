# SPDX-License-Identifier: GPL-3.0-or-later
"""When the file's record is written and read: on save, on load, and as the user undoes."""

from typing import Any

import bpy

from ...analysis import PlumblineError
from ..record import shots, text_block
from . import last_check
from .choices import KEPT
from .handlers import listen, listen_no_longer
from .opened import show_what_is_said
from .preferences import preferences_of
from .redraw import redraw_viewports
from .session import forget, session_of


@bpy.app.handlers.persistent
def write_on_save(_file: str, _unused: Any = None) -> None:
    """Write what was measured and chosen; a file of which nothing is known stays without."""
    context = bpy.context
    keeps = preferences_of(context).keep_passes
    used = bool(session_of(context).rig) or (keeps and shots.has_passes())
    if text_block.find_text() is None and not used:
        return
    try:
        shots.write_all({context.scene.name: _chosen(context)}, passes=keeps)
    except PlumblineError as error:
        session_of(context).unread = str(error)  # and the file is saved as it is


@bpy.app.handlers.persistent
def read_on_load(_file: str, _unused: Any = None) -> None:
    """A file that has just been opened was not checked: forget all, and choose as was chosen."""
    context = bpy.context
    session = session_of(context)
    forget(session)
    try:
        shots.meet()
        _choose(session, shots.choices_of(context.scene))
    except PlumblineError as error:
        session.unread = str(error)
    text_block.has_changed()


@bpy.app.handlers.persistent
def read_after_undo(_scene: Any, _unused: Any = None) -> None:
    """What was said may have been taken back, and what was cleared may be there again."""
    if shots.bring_back():
        last_check.bring_outcomes_back()
    _show_what_is_said()


@bpy.app.handlers.persistent
def read_after_redo(_scene: Any, _unused: Any = None) -> None:
    """What was said may have been said again, or cleared again."""
    seen = text_block.seen_text()
    if shots.is_taken_again(seen):
        shots.put_aside(seen)
        last_check.put_outcomes_aside()
    _show_what_is_said()


def _show_what_is_said() -> None:
    if text_block.has_changed():
        show_what_is_said(bpy.context)
        redraw_viewports(bpy.context)


def _chosen(context: bpy.types.Context) -> dict[str, Any]:
    session = session_of(context)
    return {name: getattr(session, name) for name in KEPT}


def _choose(session: Any, chosen: Any) -> None:
    for name in KEPT:
        if name in chosen:
            try:
                setattr(session, name, chosen[name])
            except TypeError:  # a later version's word: it stays as it begins
                continue


_HANDLERS = (
    ("save_pre", write_on_save),
    ("load_post", read_on_load),
    ("undo_post", read_after_undo),
    ("redo_post", read_after_redo),
)


def register() -> None:
    """Listen to saving, opening and undoing."""
    listen(_HANDLERS)


def unregister() -> None:
    """Listen no longer, and forget."""
    listen_no_longer(_HANDLERS)
    shots.forget()
