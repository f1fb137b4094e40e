# SPDX-License-Identifier: GPL-3.0-or-later
"""Data blocks that are needed again after a pause, in which the user may remove any of them.

After an undo a block may be another one under the same name, and what was planned for it would be
read from the wrong one: the number that Blender gives each block in a session tells them apart.
"""

from collections.abc import Sequence

import bpy

from ...analysis import PlumblineError
from .scene_facts import check_posed

GONE = (
    "Something that is read has been removed meanwhile, expected all to stay until the last frame: "
    "check again."
)


class ChangedError(PlumblineError):
    """What is read changes while it is read: nothing is wrong with it, and it may be read anew."""


class Held:
    """A scene and objects, held with their numbers."""

    def __init__(self, scene: bpy.types.Scene, objects: Sequence[bpy.types.Object]) -> None:
        self._scene, self._objects = scene, tuple(objects)
        self._numbers = self._now()

    def verify(self) -> None:
        """Raise ChangedError unless all are the same blocks as before.

        And PlumblineError where a rig no longer shows its poses.
        """
        try:
            if self._now() != self._numbers or self._outside():
                raise ChangedError(GONE)
            for item in self._objects:
                check_posed(item)
        except ReferenceError as error:  # Blender says so of what it has freed
            raise ChangedError(GONE) from error

    def _now(self) -> list[int]:
        return [block.session_uid for block in (self._scene, *self._objects)]

    def _outside(self) -> bool:
        """Whether one of them is no longer in the file that is open."""
        scenes = {each.session_uid for each in bpy.data.scenes}
        objects = {each.session_uid for each in bpy.data.objects}
        return self._numbers[0] not in scenes or not objects.issuperset(self._numbers[1:])
