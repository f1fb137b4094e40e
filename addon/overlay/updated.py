# SPDX-License-Identifier: GPL-3.0-or-later
"""Counts how often anything in a scene was edited: what was read of the scene since holds still.

Whether a scene still has a rig is no small thing to ask of Blender at each redraw: with a thousand
objects it takes a fifth of a millisecond.
"""

from typing import Any

import bpy

from ..ui.handlers import listen, listen_no_longer

_times = [0]


def times_updated() -> int:
    """How often so far; the playhead's moves are none."""
    return _times[0]


@bpy.app.handlers.persistent
def _note(_scene: Any, _unused: Any = None) -> None:
    _times[0] += 1


_HANDLERS = tuple(
    (name, _note) for name in ("depsgraph_update_post", "undo_post", "redo_post", "load_post")
)


def register() -> None:
    """Listen."""
    listen(_HANDLERS)


def unregister() -> None:
    """Listen no longer."""
    listen_no_longer(_HANDLERS)
