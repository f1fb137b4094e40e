# SPDX-License-Identifier: GPL-3.0-or-later
"""Are the keys still those that a check has read?

Blender says which actions an update touched, and says so as well of keys that are only selected and
of all actions after an undo. So the touched ones are compared with what they were: once a change is
found, only when nothing has touched them for a moment, as while keys are dragged nothing else is to
be learned.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from math import inf
from time import monotonic

import bpy

from ..sampling.key_numbers import played_by, players_in
from ..sphere.ours import is_ours
from . import last_check

# Seconds between two comparisons, and without a touch before what has changed is compared again.
REST_S = 0.3


@dataclass
class _Since:
    """touched  the numbers of all actions that an update has told of
    due      whether something was touched after the last comparison
    differ   the serial numbers of the checks whose keys are others now
    at       when it was touched, and compared
    """

    touched: set[int] = field(default_factory=set)
    due: bool = False
    differ: set[int] = field(default_factory=set)
    touched_at: float = -inf
    compared_at: float = -inf

    def waits(self) -> float:
        """Seconds until they may be compared; without a window nobody waits for an answer."""
        if bpy.app.background:
            return 0.0
        begun = max(self.touched_at, self.compared_at) if self.differ else self.compared_at
        return max(0.0, begun + REST_S - monotonic())

    def compare(self, scene: bpy.types.Scene) -> None:
        """Look which checks of a scene have read other keys."""
        players = players_in(scene)
        self.differ = {
            check.serial
            for check in last_check.checks_of(scene.session_uid)
            if check.keys.players != players or check.keys.changed(self.touched)
        }
        self.due, self.compared_at = False, monotonic()


# By the number of the scene; and what is called once something was compared by itself.
_since: dict[int, _Since] = {}
when_looked: list[Callable[[], None]] = []


def have_changed(scene: bpy.types.Scene, check: last_check.LastCheck) -> bool:
    """Whether keys of a scene are no longer what a check of it has read."""
    since, rig = _since.get(scene.session_uid), check.rig_in(scene)
    # Of an action that is taken off a rig no update tells.
    if rig is not None and played_by(rig) != check.keys.players.get(rig.session_uid, ()):
        return True
    if since is None:
        return False
    if since.due and not since.waits():
        since.compare(scene)
    return check.serial in since.differ


def note_update(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    """After an update of a scene: which actions it touched."""
    if not depsgraph.id_type_updated("ACTION"):
        return
    changed = (update.id for update in depsgraph.updates)
    # The keys of our own sphere follow the motion and are no part of it.
    note_touched(
        scene.session_uid,
        [
            block.original.session_uid  # an evaluated copy has another number
            for block in changed
            if isinstance(block, bpy.types.Action) and not is_ours(block)
        ],
    )


def note_touched(scene_uid: int, actions: Iterable[int]) -> None:
    """Actions of a scene may have other keys now; they are told by their numbers."""
    actions = set(actions)
    if not actions:
        return
    since = _since.setdefault(scene_uid, _Since())
    since.touched |= actions
    since.due, since.touched_at = True, monotonic()
    if not (bpy.app.background or bpy.app.timers.is_registered(_look)):
        bpy.app.timers.register(_look, first_interval=REST_S)


def note_undo() -> None:
    """All that was touched may be what it was: it is compared at once."""
    for since in _since.values():
        since.due, since.touched_at, since.compared_at = True, -inf, -inf


def forget() -> None:
    """Forget all, and look no more."""
    _since.clear()
    if bpy.app.timers.is_registered(_look):
        bpy.app.timers.unregister(_look)


def _look() -> float | None:
    """Once all is quiet, compare; returns the seconds until it has to be asked again."""
    scenes = {scene.session_uid: scene for scene in bpy.data.scenes}
    for number, since in list(_since.items()):
        if number not in scenes:
            del _since[number]
        elif since.due and not since.waits():
            since.compare(scenes[number])
    for call in when_looked:
        call()
    waiting = [since.waits() for since in _since.values() if since.due]
    return max(0.05, min(waiting)) if waiting else None
