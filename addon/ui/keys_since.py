# SPDX-License-Identifier: GPL-3.0-or-later
"""Are keys, strips, constraints and drivers still those that a check has read, and does all that
bears weight, is carried or looks on still stand where it stood?

Blender says which blocks an update touched, and says so as well of keys that are only selected and
of all actions after an undo. So the touched ones are compared with what they were: once a change is
found, only when nothing has touched them for a moment, as while keys are dragged nothing else is to
be learned.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from math import inf
from time import monotonic

import bpy

from ..sampling.key_numbers import Keys, Played, is_left_out, played_by, players_in, settings_in
from ..sampling.places import cameras_in, cuts_of, places_in
from ..sampling.set_numbers import NONE, number_of_strips
from . import last_check

# Seconds between two comparisons, and without a touch before what has changed is compared again.
REST_S = 0.3


@dataclass
class _Since:
    """touched    the numbers of all actions, and of what plays some, that an update has told of
    due        whether something was touched after the last comparison
    differ     the serial numbers of the checks whose keys are others now
    exchanged  of those whose rig played other actions when it was last looked at
    reset      of those whose keys are the same, while strips, constraints or drivers are not
    moved      of those whose keys and settings are the same, while supports, props or, where the
               picture counts, cameras are not
    at         when it was touched, and compared
    objects    how many there were in the scene after the last update; None before the first
    """

    touched: set[int] = field(default_factory=set)
    due: bool = False
    differ: set[int] = field(default_factory=set)
    exchanged: set[int] = field(default_factory=set)
    reset: set[int] = field(default_factory=set)
    moved: set[int] = field(default_factory=set)
    touched_at: float = -inf
    compared_at: float = -inf
    objects: int | None = None

    def waits(self) -> float:
        """Seconds until they may be compared; without a window nobody waits for an answer."""
        if bpy.app.background:
            return 0.0
        is_old = bool(self.differ or self.reset or self.moved)
        begun = max(self.touched_at, self.compared_at) if is_old else self.compared_at
        return max(0.0, begun + REST_S - monotonic())

    def compare(self, scene: bpy.types.Scene) -> None:
        """Look which checks of a scene have read other keys, or other settings."""
        checks = last_check.checks_of(scene.session_uid)
        players = {ball: players_in(scene, ball) for ball in _balls(checks)}
        self.differ = {
            check.serial
            for check in checks
            if self._plays_other_keys(check.keys, players[check.keys.ball])
        }
        checks = [check for check in checks if check.serial not in self.differ]
        now = {ball: settings_in(scene, self.touched, ball=ball) for ball in _balls(checks)}
        self.reset = {
            check.serial for check in checks if check.keys.are_set_otherwise(now[check.keys.ball])
        }
        checks = [check for check in checks if check.serial not in self.reset]
        places, cameras = (places_in(scene), cameras_in(scene)) if checks else ({}, {})
        self.moved = {
            check.serial
            for check in checks
            if check.keys.places != places
            or (_asks_camera(check) and check.keys.cameras != cameras)
        }
        self.due, self.compared_at = False, monotonic()

    def _plays_other_keys(self, keys: Keys, players: dict[int, Played]) -> bool:
        playing = {number for played in players.values() for number, _slot in played}
        # What plays no more, and did not when it was checked, is nobody's.
        touched = self.touched & (playing | keys.actions.keys())
        return keys.players != players or keys.changed(touched)


# By the number of the scene; and what is called once something was compared by itself.
_since: dict[int, _Since] = {}
when_looked: list[Callable[[], None]] = []


def have_changed(scene: bpy.types.Scene, check: last_check.LastCheck) -> bool:
    """Whether keys of a scene are no longer what a check of it has read."""
    since, rig = _since.get(scene.session_uid), check.rig_in(scene)
    # Of an action that is taken off a rig, and given back, no update tells.
    known = check.keys.players.get(check.rig_uid, ())
    if rig is not None and played_by(rig, check.keys.ball) != known:
        _since.setdefault(scene.session_uid, _Since()).exchanged.add(check.serial)
        return True
    if since is None:
        return False
    if check.serial in since.exchanged:
        since.exchanged.discard(check.serial)
        note_touched(scene.session_uid, (check.rig_uid,))
    if since.due and not since.waits():
        since.compare(scene)
    return check.serial in since.differ


def are_set_otherwise(scene: bpy.types.Scene, check: last_check.LastCheck) -> bool:
    """Whether strips, constraints or drivers of a scene are no longer as a check of it has read
    them, while the keys are; to be asked after `have_changed`."""
    since, rig = _since.get(scene.session_uid), check.rig_in(scene)
    # How strips lie is soon told, and editors do not tell of all that is done to them.
    if rig is not None:
        strips, _others = check.keys.settings.get(rig.session_uid, NONE)
        if number_of_strips(rig) != strips:
            return True
    return since is not None and check.serial in since.reset


def have_moved(scene: bpy.types.Scene, check: last_check.LastCheck) -> bool:
    """Whether anything stands elsewhere that bears weight, hangs on a rig or, where a check asked
    for the picture, is a camera; to be asked after `are_set_otherwise`."""
    since = _since.get(scene.session_uid)
    if _asks_camera(check) and cuts_of(scene) != check.keys.cuts:
        return True
    return since is not None and check.serial in since.moved


def _asks_camera(check: last_check.LastCheck) -> bool:
    return check.examination.basis.settings.space == "camera"


def note_update(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    """After an update of a scene: which actions it touched, and what plays some."""
    checks = last_check.checks_of(scene.session_uid)
    touched = []
    for update in depsgraph.updates:
        block = update.id.original  # an evaluated copy has another number
        if isinstance(block, bpy.types.Action):
            is_meant = not all(is_left_out(block, check.keys.ball) for check in checks)
        else:
            # Posing bones and selecting shift no object; strips, constraints and drivers do.
            is_shifted = update.is_updated_transform or not isinstance(block, bpy.types.Object)
            is_meant = is_shifted and any(_is_held(check, block.session_uid) for check in checks)
        if is_meant:
            touched.append(block.session_uid)
    if _count(scene, checks):
        touched.append(scene.session_uid)
    note_touched(scene.session_uid, touched)


def _count(scene: bpy.types.Scene, checks: list[last_check.LastCheck]) -> bool:
    """Whether objects have come or gone since the last update, of which no block tells."""
    since, count = _since.setdefault(scene.session_uid, _Since()), len(scene.objects)
    known, since.objects = since.objects, count
    if known is None:
        return any(check.keys.objects != count for check in checks)
    return known != count


def _balls(checks: list[last_check.LastCheck]) -> set[str]:
    return {check.keys.ball for check in checks}


def _is_held(check: last_check.LastCheck, block: int) -> bool:
    if block == check.rig_uid or check.keys.holds(block):
        return True
    return _asks_camera(check) and block in check.keys.cameras


def note_touched(scene_uid: int, blocks: Iterable[int]) -> None:
    """Blocks of a scene may have other keys or settings now; they are told by their numbers."""
    blocks = set(blocks)
    if not blocks:
        return
    since = _since.setdefault(scene_uid, _Since())
    since.touched |= blocks
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
