# SPDX-License-Identifier: GPL-3.0-or-later
"""The last check's arrays, for what is drawn over the viewport: held while Blender runs.

Arrays do not belong into properties. There is one session, so there is one store.
"""

from dataclasses import dataclass, replace
from itertools import count
from typing import Any

import bpy

from ...analysis import Shot
from ...analysis.pipeline import Examination
from ..sampling.scene_facts import metres_per_unit

_serials = count(1)


@dataclass(frozen=True, eq=False)
class LastCheck:
    """serial           a number that no other check has had
    scene_uid        which scene was checked
    rig_uid          which rig, whatever it is called since; rig_name what it was called then
    metres_per_unit  length of a Blender unit in it then: positions / this are its coordinates
    asked            what the check was told besides keys, see `changes.what_is_asked`
    """

    examination: Examination
    serial: int
    scene_uid: int
    rig_uid: int
    rig_name: str
    metres_per_unit: float
    asked: tuple[Any, ...]

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


_stored: list[LastCheck] = []


def remember(
    examination: Examination,
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    asked: tuple[Any, ...],
) -> None:
    """Keep the arrays of a check, instead of the one before."""
    kept = LastCheck(
        examination=examination,
        serial=next(_serials),
        scene_uid=scene.session_uid,
        rig_uid=rig.session_uid,
        rig_name=rig.name,
        metres_per_unit=metres_per_unit(scene),
        asked=asked,
    )
    _stored[:] = [kept]


def retell(shot: Shot) -> None:
    """Keep the last check with other answers: those that know their causes."""
    if _stored:
        examination = replace(_stored[0].examination, shot=shot)
        _stored[:] = [replace(_stored[0], examination=examination)]


def last_check() -> LastCheck | None:
    """What was checked last, or None."""
    return _stored[0] if _stored else None


def clear() -> None:
    """Forget it."""
    _stored.clear()
