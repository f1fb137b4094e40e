# SPDX-License-Identifier: GPL-3.0-or-later
"""The last check's arrays, for what is drawn over the viewport: held while Blender runs.

Arrays do not belong into properties. There is one session, so there is one store.
"""

from dataclasses import dataclass
from itertools import count

import bpy

from ...analysis.pipeline import Examination
from ..sampling.scene_facts import metres_per_unit

_serials = count(1)


@dataclass(frozen=True, eq=False)
class LastCheck:
    """serial           a number that no other check has had
    scene_uid        which scene was checked
    metres_per_unit  length of a Blender unit in it then: positions / this are its coordinates
    """

    examination: Examination
    serial: int
    scene_uid: int
    metres_per_unit: float


_stored: list[LastCheck] = []


def remember(examination: Examination, scene: bpy.types.Scene) -> None:
    """Keep the arrays of a check, instead of the one before."""
    kept = LastCheck(examination, next(_serials), scene.session_uid, metres_per_unit(scene))
    _stored[:] = [kept]


def last_check() -> LastCheck | None:
    """What was checked last, or None."""
    return _stored[0] if _stored else None


def clear() -> None:
    """Forget it."""
    _stored.clear()
