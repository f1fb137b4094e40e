# SPDX-License-Identifier: GPL-3.0-or-later
"""The last check of each rig: its arrays and answers, held while Blender runs.

Arrays do not belong into properties. There is one for each scene and rig, of which one is shown:
the list, the trails and the causes are about that one.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Any

import bpy

from ...analysis import Finding, Shot
from ...analysis.evidence import Suggestion
from ...analysis.passes import Outcome
from ...analysis.pipeline import Examination
from ..sampling.key_numbers import Keys
from ..sampling.scene_facts import metres_per_unit

# A check holds some MB of arrays: of more rigs than this the oldest are forgotten.
MOST = 8

_serials = count(1)


@dataclass(frozen=True, eq=False)
class LastCheck:
    """serial           a number that no other check has had
    scene_uid        which scene was checked
    rig_uid          which rig, whatever it is called since; rig_name what it was called then
    metres_per_unit  length of a Blender unit in it then: positions / this are its coordinates
    asked            what the check was told besides keys, see `changes.what_is_asked`
    keys             what played when it was read
    outcome          the check beside the rig's pass before
    told             sentences about what the measuring had to leave out
    explained        whether causes are known
    was              by ids, findings as they stood when their causes were known, where these are
                     looked for again
    own              by ids, what the checks themselves advise, where findings have causes of before
    """

    examination: Examination
    serial: int
    scene_uid: int
    rig_uid: int
    rig_name: str
    metres_per_unit: float
    asked: tuple[Any, ...]
    keys: Keys
    outcome: Outcome | None = None
    told: tuple[str, ...] = ()
    explained: bool = False
    was: Mapping[str, Finding] = field(default_factory=dict)
    own: Mapping[str, Suggestion | None] = field(default_factory=dict)

    @property
    def unexplained(self) -> Examination:
        """The examination as it is before any cause is known: a search begins with it, and not with
        advice that a search before has given."""
        shot = self.examination.shot
        plain = (
            replace(each, causes=(), clears=(), after=None, suggestion=self.own[each.id])
            if each.id in self.own
            else each
            for each in shot.findings
        )
        return replace(self.examination, shot=replace(shot, findings=tuple(plain)))

    def is_of(self, scene: bpy.types.Scene) -> bool:
        """Whether this is the scene that was checked, and still holds the rig."""
        return scene.session_uid == self.scene_uid and self.rig_in(scene) is not None

    def rig_in(self, scene: bpy.types.Scene) -> bpy.types.Object | None:
        """The rig that was checked, in a scene; None where it is gone."""
        # All others are asked only after a renaming.
        named: Any = scene.objects.get(self.rig_name)
        if named is not None and named.session_uid == self.rig_uid:
            return named  # type: ignore[no-any-return]
        return next((item for item in scene.objects if item.session_uid == self.rig_uid), None)


# By scene and rig, the latest last; and which of them is shown.
_stored: dict[tuple[int, int], LastCheck] = {}
_shown: list[tuple[int, int]] = []
# By serial numbers, what checks were beside the passes before, while these are out of the file.
_aside: dict[int, Outcome] = {}


def remember(
    examination: Examination,
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    asked: tuple[Any, ...],
    keys: Keys,
    *,
    outcome: Outcome | None = None,
    told: tuple[str, ...] = (),
    explained: bool = False,
    was: Mapping[str, Finding] | None = None,
    own: Mapping[str, Suggestion | None] | None = None,
) -> LastCheck:
    """Keep a check instead of the rig's one before; it is the one that is shown."""
    kept = LastCheck(
        examination=examination,
        serial=next(_serials),
        scene_uid=scene.session_uid,
        rig_uid=rig.session_uid,
        rig_name=rig.name,
        metres_per_unit=metres_per_unit(scene),
        asked=asked,
        keys=keys,
        outcome=outcome,
        told=told,
        explained=explained,
        was=was or {},
        own=own or {},
    )
    show(kept)
    while len(_stored) > MOST:
        del _stored[next(iter(_stored))]
    return kept


def retell(shot: Shot) -> None:
    """Keep the check that is shown with other answers: those that know their causes."""
    check = last_check()
    if check is not None:
        examination = replace(check.examination, shot=shot)
        show(replace(check, examination=examination, explained=True, was={}, own={}))


def show(check: LastCheck | None) -> None:
    """Make a check the one that is shown, and the last to be forgotten; None: show none."""
    _shown.clear()
    if check is not None:
        key = (check.scene_uid, check.rig_uid)
        _stored.pop(key, None)
        _stored[key] = check
        _shown.append(key)


def last_check() -> LastCheck | None:
    """The check whose answers are shown, or None."""
    return _stored[_shown[0]] if _shown else None


def put_outcomes_aside() -> None:
    """After the passes were taken out of the file: no check is beside one any more."""
    for key, check in _stored.items():
        if check.outcome is not None:
            _aside[check.serial] = check.outcome
            _stored[key] = replace(check, outcome=None)


def bring_outcomes_back() -> None:
    """After the passes are back in the file."""
    for key, check in _stored.items():
        if check.serial in _aside:
            _stored[key] = replace(check, outcome=_aside.pop(check.serial))


def check_of(scene: bpy.types.Scene, rig: bpy.types.Object) -> LastCheck | None:
    """The last check of a rig in a scene, or None."""
    return _stored.get((scene.session_uid, rig.session_uid))


def checks_of(scene_uid: int) -> list[LastCheck]:
    """The checks of all rigs of a scene."""
    return [check for check in _stored.values() if check.scene_uid == scene_uid]


def latest_of(scene: bpy.types.Scene) -> LastCheck | None:
    """What was shown last of a scene's rigs that are still there, or None."""
    return next((check for check in reversed(_stored.values()) if check.is_of(scene)), None)


def clear() -> None:
    """Forget all."""
    _shown.clear()
    _stored.clear()
    _aside.clear()
