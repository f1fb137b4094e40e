# SPDX-License-Identifier: GPL-3.0-or-later
"""Does something change after a check? Then its answers are about what is no more.

Blender says which kinds of data an update touched: moving the playhead, playing, selecting and
posing without keys touch no action, so this costs nothing while they go on. What was asked (the
range that plays, the rate, the choices in the panel, the declared events) is a few values, which
are compared with those of the check; turned back, the answers are not old.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import bpy

from ..sampling.events import declared_events
from ..sampling.scene_facts import frames_per_second, metres_per_unit, time_stretch
from ..sampling.told_parts import told_parts
from ..sphere.ours import is_ours
from . import last_check
from .asked import what_is_chosen
from .redraw import redraw_viewports

KEYS = "Keys have changed: check again."
ASKED = "The range, a choice above or a declaration has changed: check again."

# The serial numbers of the checks after which keys, and declarations on objects, have changed.
_keys_changed: set[int] = set()
_declared_since: set[int] = set()
# Whether what touches actions now is known to leave their keys as they are.
_keys_stay = [False]
# What the panels were last asked to show.
_shown = [""]


def why_old(context: bpy.types.Context) -> str:
    """What has changed in the check's scene since it was made, as a sentence; or empty."""
    check = last_check.last_check()
    if check is None or context.scene.session_uid != check.scene_uid:
        return ""
    if check.serial in _keys_changed:
        return KEYS
    rig = check.rig_in(context.scene)
    if check.serial in _declared_since or (
        rig is not None and what_is_asked(context, rig) != check.asked
    ):
        return ASKED
    return ""


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
        _declared_since.update(_serials_of(check.scene_uid))


def _serials_of(scene_uid: int) -> set[int]:
    """The serial numbers of the checks of a scene: all its rigs may hang on what has changed."""
    return {check.serial for check in last_check.checks_of(scene_uid)}


def note_keys() -> None:
    """After keys have changed while a check was being made: its answers are old."""
    check = last_check.last_check()
    if check is not None:
        _keys_changed.add(check.serial)


@contextmanager
def keys_stay(context: bpy.types.Context) -> Iterator[None]:
    """A block in which keys are selected and no more: from 5.0 on that too is told as a change."""
    _keys_stay[0] = True
    try:
        yield
        context.view_layer.update()
    finally:
        _keys_stay[0] = False


@bpy.app.handlers.persistent
def watch_changes(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    """After each update of a scene: notice changed keys, and show what has become old."""
    serials = _serials_of(scene.session_uid)
    if not serials:
        return
    if not (_keys_stay[0] or serials <= _keys_changed) and _touches_keys(depsgraph):
        _keys_changed.update(serials)
    if scene != bpy.context.scene:
        return
    why = why_old(bpy.context)
    if why != _shown[0]:
        _shown[0] = why
        redraw_viewports(bpy.context)


def _touches_keys(depsgraph: bpy.types.Depsgraph) -> bool:
    if not depsgraph.id_type_updated("ACTION"):
        return False
    changed = (update.id for update in depsgraph.updates)
    # The keys of our own sphere follow the motion and are no part of it.
    return any(isinstance(block, bpy.types.Action) and not is_ours(block) for block in changed)
