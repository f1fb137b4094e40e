# SPDX-License-Identifier: GPL-3.0-or-later
"""Reports that were opened where nothing was checked, shown for as long as the record has them.

The list is no part of the file, so Blender does not undo it: the record names the report that was
opened, and after an undo or a redo the list is made to be what the record says.
"""

from dataclasses import dataclass

import bpy

from ...analysis import PlumblineError, Shot
from ...analysis.passes import Pass, Said
from ..record import shots
from ..record.recall import quieted
from . import last_check
from .operators import chosen_subject
from .session import session_of, show_picked
from .shown import show_check, show_shot

# The latest few are remembered.
_MOST = 8


@dataclass(frozen=True, eq=False)
class _Opened:
    """shot  what a report has found
    made  the pass that stands for it; None where another one was known
    """

    shot: Shot
    made: Pass | None


# By the numbers of scene and rig and by the name that the record has for the opening; and by these
# numbers, which name the record had when it was last looked at.
_opened: dict[tuple[int, int, str], _Opened] = {}
_now: dict[tuple[int, int], str] = {}


def keep(
    scene: bpy.types.Scene, rig: bpy.types.Object, name: str, shot: Shot, made: Pass | None
) -> None:
    """Remember a report that the record names from now on; a check tells what has changed since the
    pass that stands for it, where there is one."""
    key = _numbers(scene, rig)
    if made is not None:
        shots.keep_pass(scene, rig, made)
    _opened[(*key, name)], _now[key] = _Opened(shot, made), name
    while len(_opened) > _MOST:
        del _opened[next(iter(_opened))]


def shot_of(scene: bpy.types.Scene, rig: bpy.types.Object) -> Shot | None:
    """What was found in the report that a rig's record names; None where that is not known."""
    found = _opened.get((*_numbers(scene, rig), shots.opened_of(scene, rig)))
    return None if found is None else found.shot


def show_what_is_said(context: bpy.types.Context) -> None:
    """After others have changed the record: the list as it has it now."""
    scene, session, check = context.scene, session_of(context), last_check.last_check()
    try:
        rig = chosen_subject(context, session.rig)
        followed = {item for item in scene.objects if _follow(scene, item)}
        shot, said = shot_of(scene, rig), shots.said_of(scene, rig)
    except PlumblineError:  # without a rig, or with a text that cannot be read, which panels tell
        followed, rig, shot, said = set(), None, None, Said()
    is_checked = rig is not None and last_check.check_of(scene, rig) is not None
    if shot is not None and not is_checked and (rig in followed or check is None):
        show_shot(session, scene, quieted(shot, said, ()), said)
    elif followed and check is None:
        show_picked(session, context)
    elif check is not None:
        show_check(session, check)


def forget() -> None:
    """Forget what was opened."""
    _opened.clear()
    _now.clear()


def _numbers(scene: bpy.types.Scene, rig: bpy.types.Object) -> tuple[int, int]:
    return scene.session_uid, rig.session_uid


def _follow(scene: bpy.types.Scene, rig: bpy.types.Object) -> bool:
    """Whether the record names another report of a rig than before: then the pass goes along."""
    key = _numbers(scene, rig)
    if key not in _now:
        return False
    was, name = _now[key], shots.opened_of(scene, rig)
    if was == name:
        return False
    _now[key] = name
    before, now = _opened.get((*key, was)), _opened.get((*key, name))
    if before is not None and before.made is not None:
        shots.drop_pass(scene, rig, before.made)
    if now is not None and now.made is not None and shots.pass_before(scene, rig) is None:
        shots.keep_pass(scene, rig, now.made)
    return True
