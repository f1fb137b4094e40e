# SPDX-License-Identifier: GPL-3.0-or-later
"""Which finding is read after an undo: the one that was gone to where it leads back to.

The list is not undone, and what is pressed below it is about the finding that is read.
"""

from typing import Any

import bpy

from .go_to import gone_to, place_in
from .handlers import listen, listen_no_longer
from .session import session_of

# Where one was before the undo.
_before: list[Any] = [None]


@bpy.app.handlers.persistent
def note_place(_scene: Any, _unused: Any = None) -> None:
    """Before an undo or a redo."""
    _before[0] = place_in(bpy.context)


@bpy.app.handlers.persistent
def read_where_one_is(_scene: Any, _unused: Any = None) -> None:
    """After it: only where it has led elsewhere, as an edit that is undone leads nowhere."""
    session, place = session_of(bpy.context), place_in(bpy.context)
    finding = None if place == _before[0] else gone_to.get(place)
    for number, line in enumerate(session.findings):
        if line.finding == finding:
            session.active = number


_HANDLERS = (
    ("undo_pre", note_place),
    ("redo_pre", note_place),
    ("undo_post", read_where_one_is),
    ("redo_post", read_where_one_is),
)


def register() -> None:
    """Listen to undoing."""
    listen(_HANDLERS)


def unregister() -> None:
    """Listen no longer, and forget."""
    listen_no_longer(_HANDLERS)
    gone_to.clear()
