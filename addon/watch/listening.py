# SPDX-License-Identifier: GPL-3.0-or-later
"""What Watch hears of: edits, undoing, another file, and its switch."""

from time import monotonic
from typing import Any

import bpy

from ..ui.handlers import listen, listen_no_longer
from ..ui.session import session_of, when_switched
from . import loop, passes, readings
from .state import state


@bpy.app.handlers.persistent
def note_edit(_scene: Any, _unused: Any = None) -> None:
    """After each update of a scene: somebody works."""
    if not state().is_ours:
        state().edited_at, state().times = monotonic(), 0


@bpy.app.handlers.persistent
def note_undo(_scene: Any, _unused: Any = None) -> None:
    """After an undo or a redo, which may have put blocks elsewhere."""
    state().edited_at, state().times = monotonic(), 0
    readings.let_blocks_go()


@bpy.app.handlers.persistent
def note_load(_file: str, _unused: Any = None) -> None:
    """Another file is not watched."""
    session_of(bpy.context).watch = False
    loop.end()
    passes.forget()


_HANDLERS = (
    ("depsgraph_update_post", note_edit),
    ("undo_post", note_undo),
    ("redo_post", note_undo),
    ("load_post", note_load),
)


def register() -> None:
    """Listen."""
    listen(_HANDLERS)
    when_switched.append(loop.switch)


def unregister() -> None:
    """Listen no longer, and forget all."""
    listen_no_longer(_HANDLERS)
    when_switched.clear()
    loop.end()
    passes.forget()
