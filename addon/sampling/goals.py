# SPDX-License-Identifier: GPL-3.0-or-later
"""Which bone pulls each hand and foot: the target of the IK that ends where it begins."""

from collections.abc import Iterator, Mapping

import bpy

from ...analysis.parts import SIDES

# The tail of a chain lies this near to the hand or foot at rest, as a share of the chain's length.
NEAR = 0.01


def limb_targets(
    rig: bpy.types.Object, roles: Mapping[str, tuple[str, ...]]
) -> tuple[tuple[str, str], ...]:
    """Pairs (part, bone): the IK target of each hand and foot that has one inside the rig."""
    found: dict[str, str] = {}
    for bone, target in _pulled(rig):
        for part in (f"{kind}.{side}" for kind in ("foot", "hand") for side in SIDES):
            if part not in found and part in roles and _ends_at(rig, bone, roles[part][0]):
                found[part] = _wanted(rig, target)
    return tuple(found.items())


def _pulled(rig: bpy.types.Object) -> Iterator[tuple[bpy.types.PoseBone, str]]:
    """Bones at the end of a chain of two or more that IK pulls to a bone of the same rig."""
    for bone in rig.pose.bones:
        for constraint in bone.constraints:
            if constraint.type != "IK" or constraint.mute or constraint.chain_count == 1:
                continue
            inside = constraint.target == rig and constraint.subtarget in rig.pose.bones
            if inside and constraint.use_tail and bone.parent is not None:
                yield bone, constraint.subtarget


def _wanted(rig: bpy.types.Object, target: str) -> str:
    """The bone that says where a target is wanted: of one that is kept within the limb's reach (as
    generated rigs do, so that the limb stretches no further), what it follows."""
    seen = set()
    while target not in seen:
        seen.add(target)
        bone = rig.pose.bones[target]
        active = [each for each in bone.constraints if not each.mute]
        if not any(each.type == "LIMIT_DISTANCE" for each in active):
            break
        copied = [
            each.subtarget
            for each in active
            if each.type == "COPY_LOCATION" and each.target == rig and each.influence == 1.0
            if each.subtarget in rig.pose.bones
        ]
        followed = copied[-1:] or ([bone.parent.name] if bone.parent is not None else [])
        target = followed[0] if followed else target
    return target


def _ends_at(rig: bpy.types.Object, bone: bpy.types.PoseBone, joint: str) -> bool:
    """Whether a chain's tail lies at a joint at rest."""
    if joint not in rig.data.bones:
        return False
    apart = (bone.bone.tail_local - rig.data.bones[joint].head_local).length
    return apart <= NEAR * (bone.bone.length + bone.parent.bone.length)
