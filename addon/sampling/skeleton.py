# SPDX-License-Identifier: GPL-3.0-or-later
"""From a rig's bones to a clip's joints: which are followed, and the tree that they form.

A rig's own tree is no anatomy: deform bones hang on helpers, limbs are split into twist
halves, controls stand outside. Only bones that play a part are followed, one each, and
they hang on each other as the figure does.
"""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import bpy
import numpy as np

from ...analysis.roles import (
    Roles,
    anatomical_parents,
    between,
    corrected_roles,
    guess_roles,
    outline_joints,
)


@dataclass(frozen=True, eq=False)
class Skeleton:
    """Which bones of a rig become joints.

    bones     indices into `rig.pose.bones`, one per joint
    joints    their names; parents the index of the joint each hangs on, or -1
    roles     part -> joint names
    rest (J,4,4), lengths (J,)   in the armature's own axes and units
    hangs_on  all that it was read from, in plain values; None where it hangs on the first pose, too
    """

    bones: tuple[int, ...]
    joints: tuple[str, ...]
    parents: tuple[int, ...]
    roles: dict[str, tuple[str, ...]]
    rest: Any
    lengths: Any
    hangs_on: tuple[Any, ...] | None = None


# What is read of all bones at once: property, values of each, kind.
_DEFORM, _HEADS = ("use_deform", 1, np.bool_), ("head_local", 3, np.float32)
_READ = (_DEFORM, _HEADS, ("matrix_local", 16, np.float32), ("length", 1, np.float32))
# Turns that set a figure upright whose armature calls another axis up: Z, Y, X, -Y, -Z.
_UPRIGHT = (
    np.eye(3),
    np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]),
    np.array([[0.0, 0.0, -1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]]),
    np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]]),
    np.diag([1.0, -1.0, -1.0]),
)


def read_skeleton(
    rig: bpy.types.Object,
    place: Callable[[], Any],
    keyed: Collection[str] = (),
    added: Collection[str] = (),
    told: Mapping[str, str] = MappingProxyType({}),
    known: Skeleton | None = None,
) -> Skeleton:
    """Choose a rig's joints: by roles where they can be found, else its outline.

    `keyed` names bones that keys move: of an outline that is too rich, they stay. `added` names
    bones that become joints besides. `told` says which bones play which parts, see `told_parts`.
    `place` gives the object's world matrix (4,4) on the first frame that is sampled; it is
    asked for only where names tell nothing and the shape has to be turned upright. `known` was
    read before: it is given again where all that it hangs on is the same.
    """
    bones, outside = rig.data.bones, list[Any]()
    names, parents = _tree(bones)
    hangs_on = (
        (tuple(names), tuple(parents), tuple(bone.name for bone in rig.pose.bones)),
        tuple(_numbers(bones, *each).tobytes() for each in _READ),
        (frozenset(keyed), tuple(added), tuple(told.items())),
    )
    if known is not None and known.hangs_on == hangs_on:
        return known

    def noted() -> Any:
        outside.append(place())
        return outside[-1]

    at = {name: n for n, name in enumerate(names)}
    deform = [bool(each) for each in _numbers(bones, *_DEFORM)]
    heads = _numbers(bones, *_HEADS).astype(np.float64)
    roles = _roles(names, parents, deform, heads, noted)
    found = {part: each[0] for part, each in roles.parts.items()}
    besides = {at[name] for name in added}
    parts: dict[str, tuple[str, ...]] = {
        part: (bone,) for part, bone in corrected_roles(found, told, names).items()
    }
    if parts:
        chosen = sorted({at[each[0]] for each in parts.values()} | besides)
        tree = _anatomy(parts, at, parents, chosen)
    else:
        outline = _outline(names, parents, deform, heads, {at[n] for n in keyed})
        chosen = sorted({*outline} | besides)
        tree = between(parents, chosen)
    pose_place = {bone.name: n for n, bone in enumerate(rig.pose.bones)}
    return Skeleton(
        bones=tuple(pose_place[names[n]] for n in chosen),
        joints=tuple(names[n] for n in chosen),
        parents=tuple(tree),
        roles=parts,
        rest=np.array([bones[n].matrix_local for n in chosen], dtype=np.float64),
        lengths=np.array([bones[n].length for n in chosen], dtype=np.float64),
        hangs_on=None if outside else hangs_on,
    )


def _tree(bones: Any) -> tuple[list[str], list[int]]:
    """The names of an armature's bones, and the index of each one's parent, or -1."""
    names = [bone.name for bone in bones]
    at = {name: n for n, name in enumerate(names)}
    above = (bone.parent for bone in bones)
    return names, [-1 if parent is None else at[parent.name] for parent in above]


def _numbers(bones: Any, name: str, width: int, kind: Any) -> Any:
    """(N,width) a property of all bones; (N,) where it is one number."""
    values = np.zeros(len(bones) * width, dtype=kind)
    bones.foreach_get(name, values)
    return values.reshape(-1, width) if width > 1 else values


def no_skeleton() -> Skeleton:
    """That of a plain object, which has no bones."""
    return Skeleton((), (), (), {}, np.zeros((0, 4, 4)), np.zeros(0))


def _roles(
    names: list[str], parents: list[int], deform: list[bool], heads: Any, place: Callable[[], Any]
) -> Roles:
    """Names first, over all bones; then the shape, over the bones that move the surface.

    The shape is judged as the object stands on the first frame; a rig that lies there, or is
    turned by its keys, by whichever axis of the armature makes a standing figure.
    """
    named = guess_roles(names, parents, heads, deform=deform, by_shape=False)
    if named.parts:
        return named
    keep = _surface_bones(parents, deform)
    kept, tree = [names[n] for n in keep], between(parents, keep)
    standing = np.asarray(place(), dtype=np.float64)[:3, :3]
    # A mirrored object swaps left and right, whichever way it is turned.
    mirror = np.diag([-1.0 if np.linalg.det(standing) < 0.0 else 1.0, 1.0, 1.0])
    for turn in (standing, *(mirror @ each for each in _UPRIGHT)):
        shaped = guess_roles(kept, tree, heads[keep] @ turn.T)
        if shaped.parts:
            return shaped
    return named


def _surface_bones(parents: list[int], deform: list[bool]) -> list[int]:
    kept = [n for n, on in enumerate(deform) if on]
    return kept or list(range(len(parents)))


def _outline(
    names: list[str], parents: list[int], deform: list[bool], heads: Any, keyed: Collection[int]
) -> list[int]:
    keep = _surface_bones(parents, deform)
    first = [n for n, bone in enumerate(keep) if bone in keyed]
    tree, kept = between(parents, keep), [names[n] for n in keep]
    return [keep[n] for n in outline_joints(tree, heads[keep], names=kept, first=first)]


def _anatomy(
    parts: dict[str, tuple[str, ...]], at: dict[str, int], parents: list[int], chosen: list[int]
) -> list[int]:
    """The figure's tree; a bone that plays two parts hangs where its first one does."""
    place = {bone: n for n, bone in enumerate(chosen)}
    joint_of = {part: place[at[each[0]]] for part, each in parts.items()}
    above = anatomical_parents(list(parts))
    tree = between(parents, chosen)
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
