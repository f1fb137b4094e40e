# SPDX-License-Identifier: GPL-3.0-or-later
"""Which bones of a rig move when a control does: along trees, constraints and drivers, also
through other objects."""

from collections.abc import Iterable, Set
from typing import Any

import bpy

from .links import Place, blocks_beside, links_of, place_of


class Reach:
    """What follows what around one rig, as it is set up on the current frame.

    Constraints count whatever their influence, which may be animated; of the targets that
    an Armature constraint chooses from, those count that have a weight.
    """

    def __init__(self, rig: bpy.types.Object) -> None:
        self._rig = rig
        self._followers: dict[Place, set[Place]] = {}
        self._properties: dict[tuple[Any, str], set[Place]] = {}
        self._of_paths: dict[tuple[Any, str], set[str]] = {}
        self.blocks: list[Any] = []
        waiting: list[Any] = [rig]
        while waiting:
            block = waiting.pop(0)
            if block not in self.blocks:
                self.blocks.append(block)
                waiting += blocks_beside(block)
                waiting += self._link(block)

    @property
    def properties(self) -> list[Place]:
        """The custom properties that drivers read."""
        return [place for places in self._properties.values() for place in places]

    def _link(self, block: Any) -> list[Any]:
        """Take in what a block says; what leads it is asked next."""
        leaders = []
        for leader, follower in links_of(block):
            # What is driven in an armature's data is said of the object that has it.
            owner = self._rig if follower.bone and follower.block == self._rig.data else None
            follower = follower if owner is None else follower._replace(block=owner)
            self._followers.setdefault(leader, set()).add(follower)
            if leader.is_property:
                self._properties.setdefault((leader.block, leader.bone), set()).add(leader)
            leaders.append(leader.block)
        return list(dict.fromkeys(leaders))

    def of(self, control: str | None) -> set[str]:
        """Names of the bones that a bone moves, itself and by its properties included; all of them
        for None: the object."""
        if control is None:
            return {bone.name for bone in self._rig.pose.bones}
        properties = self._properties.get((self._rig, control), set())
        return self._reached([Place(self._rig, control), *properties])

    def of_path(self, block: Any, data_path: str) -> Set[str]:
        """Names of the rig's bones that a channel of any block moves.

        A custom property moves what drivers make of it, and a constraint's setting what that
        constraint moves; other channels of a bone or object move it.
        """
        path = block, data_path
        if path not in self._of_paths:
            self._of_paths[path] = self._reached([place_of(*path)])
        return self._of_paths[path]

    def _reached(self, start: Iterable[Place]) -> set[str]:
        reached: set[Place] = set()
        waiting = list(start)
        while waiting:
            place = waiting.pop()
            if place not in reached:
                reached.add(place)
                waiting += self._followers.get(place, ())
        return {
            each.bone for each in reached if each.block == self._rig and each.bone and not each.path
        }
