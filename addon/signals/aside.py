# SPDX-License-Identifier: GPL-3.0-or-later
"""Signals are never saved: before a save they are taken out of all that uses them, since Blender
writes nothing without users, and afterwards they are as they were.

They stay the same blocks, so an undo finds them. An autosave asks nobody: what a file brings along
is deleted as it is opened.
"""

from dataclasses import dataclass
from typing import Any

import bpy

from ..ui.handlers import listen, listen_no_longer
from ..ui.session import session_of
from .ours import holders, is_signals, remove_holders
from .shown import follow_answers, forget


@dataclass(frozen=True, eq=False)
class _Aside:
    """links    (collection, what was linked in it)
    played   (empty, its action, its slot)
    """

    links: list[tuple[Any, Any]]
    played: list[tuple[Any, Any, Any]]


_aside: list[_Aside] = []


@bpy.app.handlers.persistent
def put_aside(_file: str = "", _unused: Any = None) -> None:
    """Before a save."""
    bring_back()
    items = holders()
    played = []
    for item in items:
        data = item.animation_data
        if data is not None and data.action is not None and is_signals(data.action):
            played.append((item, data.action, getattr(data, "action_slot", None)))
            data.action = None
    links = [(group, item) for item in items for group in item.users_collection]
    for group, item in links:
        group.objects.unlink(item)
    groups = [group for group in _groups() if not group.library]
    parents = [(each, group) for group in groups for each in _parents(group)]
    for parent, group in parents:
        parent.children.unlink(group)
    _drop_lost_users(groups)
    if links or parents or played:
        _aside.append(_Aside([*links, *parents], played))


@bpy.app.handlers.persistent
def bring_back(_file: str = "", _unused: Any = None) -> None:
    """After a save, or one that failed."""
    while _aside:
        kept = _aside.pop()
        for parent, block in reversed(kept.links):
            is_group = isinstance(block, bpy.types.Collection)
            (parent.children if is_group else parent.objects).link(block)
        for item, action, slot in kept.played:
            item.animation_data.action = action
            if slot is not None:
                item.animation_data.action_slot = slot


@bpy.app.handlers.persistent
def drop_on_load(_file: str = "", _unused: Any = None) -> None:
    """What an autosave has kept belongs to no check."""
    _aside.clear()
    forget()
    remove_holders()


@bpy.app.handlers.persistent
def follow_undo(scene: Any, _unused: Any = None) -> None:
    """What undo brings back are older numbers, while the answers are those that they were."""
    if holders():
        follow_answers(session_of(bpy.context), scene)


def _drop_lost_users(groups: list[Any]) -> None:
    """Before 4.5 a scene that is copied leaves its collections a user that nobody is."""
    if groups:
        # The stubs declare all three arguments as required, which Blender does not.
        users = bpy.data.user_map(subset=set(groups))  # type: ignore[call-arg]
        for group in groups:
            if group.users and not group.use_fake_user and not users[group]:
                group.user_clear()


def _groups() -> list[Any]:
    return [group for group in bpy.data.collections if is_signals(group)]


def _parents(group: Any) -> list[Any]:
    every = [*(scene.collection for scene in bpy.data.scenes), *bpy.data.collections]
    return [each for each in every if any(child == group for child in each.children)]


_HANDLERS = (
    ("save_pre", put_aside),
    ("save_post", bring_back),
    ("save_post_fail", bring_back),
    ("load_post", drop_on_load),
    ("undo_post", follow_undo),
    ("redo_post", follow_undo),
)


def register() -> None:
    """Listen to saving, opening and undoing."""
    listen(_HANDLERS)


def unregister() -> None:
    """Listen no longer; nothing of signals stays in the file."""
    listen_no_longer(_HANDLERS)
    forget()
    remove_holders()
