# SPDX-License-Identifier: GPL-3.0-or-later
"""Which hand or forearm holds what hangs on a bone: a generated rig has many bones for each hand.

Props are hung on the control that is keyed, or on a bone of the mechanism, as often as on the
bone that moves the surface.
"""

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any

import bpy

from ...analysis.parts import split_part
from .reach import Reach

# Parts that can hold something.
HOLDERS = ("hand", "forearm")
# A bone that begins this near to a hand at rest, as a share of the hand's length, and moves it or
# is moved by it, is that hand.
NEAR = 0.05
# Constraints that put their owner where the target is.
_HOLDING = ("CHILD_OF", "COPY_TRANSFORMS", "COPY_LOCATION")


class Holders:
    """The hands and forearms of one rig; roles are part -> joint names, the main joint first."""

    def __init__(self, rig: bpy.types.Object, roles: Mapping[str, tuple[str, ...]]) -> None:
        self._rig = rig
        self._part_of = {joints[0]: part for part, joints in roles.items()}

    def of(self, bone: str) -> str | None:
        """The part that holds what hangs on a bone, or None: the first that is found from the bone
        upwards, along parents and along what constraints put a bone to."""
        seen: set[str] = set()
        waiting = [bone]
        while waiting:
            name = waiting.pop(0)
            if name in seen or name not in self._rig.data.bones:
                continue
            seen.add(name)
            part = self._part_of.get(name) or self._same_place(name)
            if part is not None and split_part(part)[0] in HOLDERS:
                return part
            if part is None:
                waiting += self._above(name)
        return None

    def _above(self, name: str) -> Iterator[str]:
        posed = self._rig.pose.bones[name]
        yield from targets_of(posed.constraints, self._rig)
        if posed.parent is not None:
            yield posed.parent.name

    def _same_place(self, name: str) -> str | None:
        """The hand or forearm that a control, or a bone of the mechanism, stands for."""
        bones = self._rig.data.bones
        for joint, part in self._part_of.items():
            if split_part(part)[0] not in HOLDERS or joint not in bones:
                continue
            apart = (bones[joint].head_local - bones[name].head_local).length
            if apart <= NEAR * bones[joint].length and self._go_together(name, joint):
                return part
        return None

    def _go_together(self, name: str, joint: str) -> bool:
        return joint in self._reach.of(name) or name in self._reach.of(joint)

    @cached_property
    def _reach(self) -> Reach:
        return Reach(self._rig)


def targets_of(constraints: Any, rig: bpy.types.Object) -> Iterator[str]:
    """The bones of a rig that constraints put their owner to; muted ones put it nowhere."""
    for constraint in constraints:
        if constraint.mute:
            continue
        if constraint.type in _HOLDING and constraint.target == rig and constraint.subtarget:
            yield constraint.subtarget
        if constraint.type == "ARMATURE":
            for target in constraint.targets:
                if target.target == rig and target.subtarget and target.weight > 0.0:
                    yield target.subtarget
