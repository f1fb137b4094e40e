# SPDX-License-Identifier: GPL-3.0-or-later
"""The last check's arrays, for what is drawn over the viewport: held while Blender runs.

Arrays do not belong into properties. There is one session, so there is one store.
"""

from dataclasses import dataclass
from itertools import count
from typing import Any

import bpy

from ...analysis.pipeline import Examination
from ..sampling.scene_facts import metres_per_unit

_serials = count(1)


@dataclass(frozen=True, eq=False)
class LastCheck:
    """serial           a number that no other check has had
    scene_uid        which scene was checked
    rig_uid          which rig, whatever it is called since; rig_name what it was called then
    metres_per_unit  length of a Blender unit in it then: positions / this are its coordinates
    """

    examination: Examination
    serial: int
    scene_uid: int
    rig_uid: int
    rig_name: str
    metres_per_unit: float

    def is_of(self, scene: bpy.types.Scene) -> bool:
        """Whether this is the scene that was checked, and still holds the rig."""
        if scene.session_uid != self.scene_uid:
            return False
        # All others are asked only after a renaming.
        named: Any = scene.objects.get(self.rig_name)
        if named is not None and named.session_uid == self.rig_uid:
            return True
        return any(item.session_uid == self.rig_uid for item in scene.objects)


_stored: list[LastCheck] = []


def remember(examination: Examination, scene: bpy.types.Scene, rig: bpy.types.Object) -> None:
    """Keep the arrays of a check, instead of the one before."""
    kept = LastCheck(
        examination=examination,
        serial=next(_serials),
        scene_uid=scene.session_uid,
        rig_uid=rig.session_uid,
        rig_name=rig.name,
        metres_per_unit=metres_per_unit(scene),
    )
    _stored[:] = [kept]


def last_check() -> LastCheck | None:
    """What was checked last, or None."""
    return _stored[0] if _stored else None


def clear() -> None:
    """Forget it."""
    _stored.clear()
