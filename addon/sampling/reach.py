# SPDX-License-Identifier: GPL-3.0-or-later
"""Which bones of a rig move when a control does: along its tree, constraints and drivers."""

import re
from collections.abc import Iterator
from typing import Any

import bpy

# A bone in a data path: pose.bones["torso"]["IK_FK"].
_BONE = re.compile(r'pose\.bones\["((?:[^"\\]|\\.)*)"\]')


class Reach:
    """What follows what inside one rig, as it is set up on the current frame.

    Constraints count whatever their influence, which may be animated; of the targets that
    an Armature constraint chooses from, those count that have a weight.
    """

    def __init__(self, rig: bpy.types.Object) -> None:
        self._rig = rig
        self._followers: dict[str, set[str]] = {}
        for leader, follower in (*_from_bones(rig), *_from_drivers(rig)):
            self._followers.setdefault(leader, set()).add(follower)

    def of(self, control: str | None) -> set[str]:
        """Names of the bones that a bone moves, itself included; all, for None: the object."""
        if control is None:
            return {bone.name for bone in self._rig.pose.bones}
        reached: set[str] = set()
        waiting = [control]
        while waiting:
            bone = waiting.pop()
            if bone not in reached:
                reached.add(bone)
                waiting += self._followers.get(bone, ())
        return reached


def _from_bones(rig: bpy.types.Object) -> Iterator[tuple[str, str]]:
    """Pairs (leader, follower): parents and children, targets and what is constrained."""
    for bone in rig.pose.bones:
        if bone.parent is not None:
            yield bone.parent.name, bone.name
        for constraint in bone.constraints:
            if not constraint.mute:
                leaders = list(_targets(rig, constraint))
                for follower in _moved(bone, constraint):
                    yield from ((leader, follower) for leader in leaders)


def _targets(rig: bpy.types.Object, constraint: Any) -> Iterator[str]:
    for target, subtarget in (("target", "subtarget"), ("pole_target", "pole_subtarget")):
        bone = getattr(constraint, subtarget, "")
        if bone and getattr(constraint, target, None) == rig:
            yield bone
    if constraint.type == "ARMATURE":
        for each in constraint.targets:
            if each.target == rig and each.subtarget and each.weight > 0.0:
                yield each.subtarget


def _moved(bone: Any, constraint: Any) -> Iterator[str]:
    """The bone, and for a chain of bones those above it: a count of 0 means all of them."""
    yield bone.name
    if constraint.type in ("IK", "SPLINE_IK"):
        count = constraint.chain_count or len(bone.parent_recursive) + 1
        yield from (above.name for above in bone.parent_recursive[: count - 1])


def _from_drivers(rig: bpy.types.Object) -> Iterator[tuple[str, str]]:
    for block in (rig, rig.data):
        data = block.animation_data
        for curve in data.drivers if data is not None else ():
            follower = _bone_in(curve.data_path)
            if follower:
                for variable in curve.driver.variables:
                    for target in variable.targets:
                        leader = target.bone_target or _bone_in(target.data_path)
                        if target.id == rig and leader:
                            yield leader, follower


def _bone_in(data_path: str) -> str:
    match = _BONE.search(data_path)
    return bpy.utils.unescape_identifier(match[1]) if match else ""
