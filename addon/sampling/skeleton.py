# SPDX-License-Identifier: GPL-3.0-or-later
"""From a rig's bones to a clip's joints: which are followed, and the tree that they form.

A rig's own tree is no anatomy: deform bones hang on helpers, limbs are split into twist
halves, controls stand outside. Only bones that play a part are followed, one each, and
they hang on each other as the figure does.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...analysis.roles import Roles, anatomical_parents, guess_roles, outline_joints


@dataclass(frozen=True, eq=False)
class Skeleton:
    """Which bones of a rig become joints.

    bones     indices into `rig.pose.bones`, one per joint
    joints    their names; parents the index of the joint each hangs on, or -1
    roles     part -> joint names
    rest (J,4,4), lengths (J,)   in the armature's own axes and units
    """

    bones: tuple[int, ...]
    joints: tuple[str, ...]
    parents: tuple[int, ...]
    roles: dict[str, tuple[str, ...]]
    rest: Any
    lengths: Any


def read_skeleton(rig: bpy.types.Object) -> Skeleton:
    """Choose a rig's joints: by roles where they can be found, else its outline."""
    bones = list(rig.data.bones)
    names = [bone.name for bone in bones]
    place = {name: n for n, name in enumerate(names)}
    parents = [place[bone.parent.name] if bone.parent else -1 for bone in bones]
    deform = [bone.use_deform for bone in bones]
    roles = _roles(rig, names, parents, deform)
    if roles.parts:
        chosen = sorted({place[each[0]] for each in roles.parts.values()})
        parts: dict[str, tuple[str, ...]] = {p: (each[0],) for p, each in roles.parts.items()}
        tree = _anatomy(parts, names, parents, chosen)
    else:
        chosen, parts = _outline(rig, parents, deform), {}
        tree = [_nearest(parents, chosen, bone) for bone in chosen]
    pose_place = {bone.name: n for n, bone in enumerate(rig.pose.bones)}
    return Skeleton(
        bones=tuple(pose_place[names[n]] for n in chosen),
        joints=tuple(names[n] for n in chosen),
        parents=tuple(tree),
        roles=parts,
        rest=np.array([bones[n].matrix_local for n in chosen], dtype=np.float64),
        lengths=np.array([bones[n].length for n in chosen], dtype=np.float64),
    )


def _roles(
    rig: bpy.types.Object, names: list[str], parents: list[int], deform: list[bool]
) -> Roles:
    """Names first, over all bones; then the shape, over the bones that move the surface."""
    named = guess_roles(names, parents, deform=deform)
    if named.parts:
        return named
    keep = _surface_bones(parents, deform)
    rest = _rest_heads(rig)[keep]
    return guess_roles([names[n] for n in keep], _between(parents, keep), rest)


def _surface_bones(parents: list[int], deform: list[bool]) -> list[int]:
    kept = [n for n, on in enumerate(deform) if on]
    return kept or list(range(len(parents)))


def _outline(rig: bpy.types.Object, parents: list[int], deform: list[bool]) -> list[int]:
    keep = _surface_bones(parents, deform)
    return [keep[n] for n in outline_joints(_between(parents, keep), _rest_heads(rig)[keep])]


def _rest_heads(rig: bpy.types.Object) -> Any:
    """(bones, 3) heads of the rest pose, turned upright as the object stands."""
    world = np.array(rig.matrix_world, dtype=np.float64)
    heads = np.array([bone.head_local for bone in rig.data.bones], dtype=np.float64)
    return heads @ world[:3, :3].T


def _between(parents: Sequence[int], keep: list[int]) -> list[int]:
    """Parents among the kept bones: the nearest kept one above each."""
    return [_nearest(parents, keep, bone) for bone in keep]


def _nearest(parents: Sequence[int], keep: list[int], bone: int) -> int:
    place = {kept: n for n, kept in enumerate(keep)}
    above = parents[bone]
    while above >= 0 and above not in place:
        above = parents[above]
    return place.get(above, -1)


def _anatomy(
    parts: dict[str, tuple[str, ...]], names: list[str], parents: list[int], chosen: list[int]
) -> list[int]:
    """The figure's tree; a bone that plays two parts hangs where its first one does."""
    joint_of = {part: chosen.index(names.index(each[0])) for part, each in parts.items()}
    above = anatomical_parents(list(parts))
    tree = [_nearest(parents, chosen, bone) for bone in chosen]
    settled: set[int] = set()
    for part, joint in joint_of.items():
        if joint in settled:
            continue
        settled.add(joint)
        upper = above[part]
        while upper is not None and joint_of[upper] == joint:
            upper = above[upper]
        tree[joint] = -1 if upper is None else joint_of[upper]
    return tree
