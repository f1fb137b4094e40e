# SPDX-License-Identifier: GPL-3.0-or-later
"""How far Watch has come, and what the panel shows of it."""

from dataclasses import dataclass
from math import inf

import bpy

from ..ui.changes import why_old
from ..ui.one_check import Check
from ..ui.session import session_of
from . import readings

WAITS = "Something has changed: Watch looks again as soon as all rests."


@dataclass
class State:
    """scene_uid  the scene that is watched
    begins     whether it was just switched on: all frames have to be read
    check      the update that goes on; worked how many seconds it has worked, and rested since when
               it has not
    beside     the serial number of the check that was shown when it began
    fills      whether it only reads what the next one goes on from: the answers are true
    times      how many updates were made since the last edit
    heavy      how many heavy updates there were in a row
    edited_at  when something was last edited, or undone
    tried_at   the same of the edit after which no answers could be given
    due_at     since when an update is due; is_late whether that is to be told
    is_ours    whether what Blender updates is our own doing
    explains   whether causes are to be looked for
    """

    scene_uid: int = 0
    begins: bool = False
    check: Check | None = None
    worked: float = 0.0
    rested: float = 0.0
    beside: int = 0
    fills: bool = False
    times: int = 0
    heavy: int = 0
    edited_at: float = -inf
    tried_at: float | None = None
    due_at: float | None = None
    is_late: bool = False
    is_ours: bool = False
    explains: bool = False


_now = [State()]


def state() -> State:
    """How far it has come."""
    return _now[0]


def forget() -> None:
    """Leave what goes on where it is, and forget what was read."""
    if _now[0].check is not None:
        _now[0].check.close()
    _now[0] = State()
    readings.forget()


def why_shown(context: bpy.types.Context) -> str:
    """`why_old` for the panel: while Watch is on, only that it will look, and only when it takes
    its time."""
    why = why_old(context)
    if not (why and session_of(context).watch):
        return why
    return WAITS if state().is_late else ""
