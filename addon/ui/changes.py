# SPDX-License-Identifier: GPL-3.0-or-later
"""Does something change after a check? Then its answers are about what is no more.

Moving the playhead, playing, selecting bones and posing without keys touch no action, so this costs
nothing while they go on. Where actions are touched, their keys are compared with those of the
check, and where what plays them is, how its strips, constraints and drivers are set (`keys_since`).
What was asked (the range that plays, the rate, the choices in the panel, the declared events) is a
few values, which are compared as well; turned back, the answers are not old.
"""

from typing import Any

import bpy

from ..sampling.events import declared_events
from ..sampling.scene_facts import frames_per_second, metres_per_unit, time_stretch
from ..sampling.told_parts import told_parts
from . import keys_since, last_check
from .asked import what_is_chosen
from .handlers import listen, listen_no_longer
from .redraw import redraw_viewports

KEYS = "Keys have changed: check again."
SETTINGS = "A strip, a constraint or a driver has changed: check again."
MOVED = "The camera, a prop or something that bears weight has changed: check again."
CLOCK = "The frame rate or the time remapping has changed: check again."
ASKED = "The range, a choice, a part or a declaration has changed: check again."

# Where what is asked tells of it.
_CLOCK = slice(1, 3)
# The serial numbers of the checks after which declarations on objects have changed.
_declared_since: set[int] = set()
# What the panels were last asked to show.
_shown = [""]


def why_old(context: bpy.types.Context) -> str:
    """What has changed in the check's scene since it was made, as a sentence; or empty."""
    check = last_check.last_check()
    if check is None or context.scene.session_uid != check.scene_uid:
        return ""
    if keys_since.have_changed(context.scene, check):
        return KEYS
    if keys_since.are_set_otherwise(context.scene, check):
        return SETTINGS
    if keys_since.have_moved(context.scene, check):
        return MOVED
    rig = check.rig_in(context.scene)
    asked = check.asked if rig is None else what_is_asked(context, rig)
    if asked[_CLOCK] != check.asked[_CLOCK]:
        return CLOCK
    return ASKED if check.serial in _declared_since or asked != check.asked else ""


def what_is_asked(context: bpy.types.Context, rig: bpy.types.Object) -> tuple[Any, ...]:
    """All that a check of a rig is told besides its keys, but what stands on other objects."""
    scene = context.scene
    return (
        what_is_chosen(context),
        frames_per_second(scene),
        time_stretch(scene),
        metres_per_unit(scene),
        tuple(declared_events(scene, rig)),
        tuple(sorted(told_parts(scene, rig).items())),
    )


def note_declared() -> None:
    """After a declaration on objects, which are too many to be compared at each redraw."""
    check = last_check.last_check()
    if check is not None:
        # All rigs of the scene may hang on what has changed.
        _declared_since.update(each.serial for each in last_check.checks_of(check.scene_uid))


@bpy.app.handlers.persistent
def watch_changes(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    """After each update of a scene: notice touched keys, and show what has become old."""
    if not last_check.checks_of(scene.session_uid):
        return
    keys_since.note_update(scene, depsgraph)
    if scene == bpy.context.scene:
        show_what_is_old()


@bpy.app.handlers.persistent
def watch_undo(_scene: Any, _unused: Any = None) -> None:
    """After an undo, which may have given back the keys that were checked."""
    keys_since.note_undo()
    show_what_is_old()


def show_what_is_old() -> None:
    """Draw again where the answers have become old, or are so no more."""
    why = why_old(bpy.context)
    if why != _shown[0]:
        _shown[0] = why
        redraw_viewports(bpy.context)


def register() -> None:
    """Listen to updates and undoing."""
    listen(_HANDLERS)
    keys_since.when_looked.append(show_what_is_old)


def unregister() -> None:
    """Listen no longer, and forget."""
    listen_no_longer(_HANDLERS)
    keys_since.when_looked.clear()
    keys_since.forget()


_HANDLERS = (
    ("depsgraph_update_post", watch_changes),
    ("undo_post", watch_undo),
    ("redo_post", watch_undo),
)
