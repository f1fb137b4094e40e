# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball knows its rig by name: here renamings are followed, as long as Blender runs.

Objects keep their session numbers through renaming and undo. A ball whose rig has another name by
now gets that name, and so do its upright copies where the ball has one; the rig that is picked in
the panel goes along. Where that was a ball that is gone, its rig is picked instead.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import bpy

from ..ui.session import session_of
from .ours import SPHERE_OF, UPRIGHT_OF, parts_of_upright, spheres_in, uprights_of


@dataclass(frozen=True)
class _Seen:
    """A ball as it was seen last: its name, and the number (0: not known) and name of its rig,
    and the name by which that is found, empty where it is gone or its file alone can rename it."""

    name: str
    rig_uid: int
    rig_name: str
    rig_local: str


@dataclass
class _Memory:
    """Balls by the numbers of scene and ball; the numbers of scenes, with how many objects these
    had when they were looked through."""

    balls: dict[tuple[int, int], _Seen] = field(default_factory=dict)
    scenes: dict[int, int] = field(default_factory=dict)


_memory = _Memory()


def follow(scene: bpy.types.Scene) -> None:
    """Write what objects are called now where a ball, or the panel, knows them by an older name."""
    _memory.scenes[scene.session_uid] = len(scene.objects)
    balls = {(scene.session_uid, each.session_uid): each for each in spheres_in(scene)}
    known = [each for each in _memory.balls if each[0] == scene.session_uid]
    if not balls and not known:
        return
    names = {item.name_full: item for item in scene.objects}
    for key in known:
        if key not in balls:
            seen = _memory.balls.pop(key)
            _pick(seen.name, seen.rig_name if seen.rig_name in names else "", names)
    numbers = {item.session_uid: item for item in names.values()}
    for key, ball in balls.items():
        _memory.balls[key] = _followed(scene, ball, _memory.balls.get(key), names, numbers)


def _followed(
    scene: bpy.types.Scene,
    ball: bpy.types.Object,
    seen: _Seen | None,
    names: dict[str, Any],
    numbers: dict[int, Any],
) -> _Seen:
    rig = names.get(str(ball[SPHERE_OF]))
    if rig is None and seen is not None and seen.rig_uid in numbers:
        rig = numbers[seen.rig_uid]
        for block in parts_of_ball(ball):
            block[SPHERE_OF] = rig.name_full
        _pick(seen.rig_name, rig.name_full, names)
    if seen is not None and seen.name != ball.name_full:
        for block in (b for copy in uprights_of(scene, ball) for b in parts_of_upright(copy)):
            block[UPRIGHT_OF] = ball.name
        _pick(seen.name, ball.name_full, names)
    if rig is None:  # it may come back
        uid = 0 if seen is None else seen.rig_uid
        return _Seen(ball.name_full, uid, str(ball[SPHERE_OF]), "")
    local = "" if rig.library else rig.name
    return _Seen(ball.name_full, rig.session_uid, rig.name_full, local)


def parts_of_ball(ball: bpy.types.Object) -> Iterator[Any]:
    """A ball and what was made with it, all of which carries the name of its rig."""
    data: Any = ball.animation_data
    mesh: Any = ball.data
    parts = (ball, mesh, *mesh.materials, None if data is None else data.action)
    return (each for each in parts if each is not None and SPHERE_OF in each and not each.library)


def _pick(old: str, new: str, names: dict[str, Any]) -> None:
    """Pick another in the panel, where one is picked that is called so no more."""
    session = session_of(bpy.context)
    if session.rig == old and old not in names:
        session.rig = new


@bpy.app.handlers.persistent
def _note_update(scene: bpy.types.Scene, _depsgraph: Any = None) -> None:
    """After an update: are there more or fewer objects, or is a ball, or its rig, no longer found
    by its name? No list of what was updated is gone through."""
    number, items = scene.session_uid, scene.objects
    if _memory.scenes.get(number) != len(items) or any(
        _is_otherwise(items, uid, seen)
        for (own, uid), seen in _memory.balls.items()
        if own == number
    ):
        follow(scene)


def _is_otherwise(items: Any, uid: int, seen: _Seen) -> bool:
    ball = items.get(seen.name)
    if ball is None or ball.session_uid != uid:
        return True
    rig = items.get(seen.rig_local) if seen.rig_local else None
    return bool(seen.rig_local) and (rig is None or rig.session_uid != seen.rig_uid)


@bpy.app.handlers.persistent
def _note_all(_scene: Any, _unused: Any = None) -> None:
    """After an undo all may be otherwise."""
    for scene in bpy.data.scenes:
        follow(scene)


@bpy.app.handlers.persistent
def _note_file(_path: Any, _unused: Any = None) -> None:
    """In another file there are others."""
    forget()
    _note_all(None)


def forget() -> None:
    """Forget all balls."""
    _memory.balls.clear()
    _memory.scenes.clear()


HANDLERS = (
    ("depsgraph_update_post", _note_update),
    ("undo_post", _note_all),
    ("redo_post", _note_all),
    ("load_post", _note_file),
)
