# SPDX-License-Identifier: GPL-3.0-or-later
"""Objects and vertices that are followed besides a figure: whose they are, what they hang on."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...analysis.errors import PlumblineError
from .follow import Wanted, wanted_points
from .props import CarriedObject, box_of, holding_bones
from .scene_facts import is_rig


@dataclass(frozen=True, eq=False)
class Added:
    """An object or a vertex, as one joint.

    above  index of the joint that it hangs on, or -1
    box    (2,3) the object's box in its own axes; None for a vertex, which has no extent
    """

    wanted: Wanted
    above: int
    box: Any


def share_points(scene: bpy.types.Scene, rigs: Sequence[bpy.types.Object]) -> list[list[Wanted]]:
    """For each rig what is to be followed with it.

    Bones and vertices of a rig or object are its own, and so is what hangs on it or is deformed
    by it. What hangs on no rig at all goes with the first; what hangs on another, with none.
    """
    shares: list[list[Wanted]] = [[] for _ in rigs]
    for point in wanted_points(scene):
        above = list(_above(point.item))
        mine = [n for n, rig in enumerate(rigs) if rig in above]
        free = not any(is_rig(item) for item in above)
        if mine or (free and rigs):
            shares[mine[0] if mine else 0].append(point)
    return shares


def _above(item: bpy.types.Object) -> Iterator[bpy.types.Object]:
    """An object and all that moves or deforms it: parents, targets, what modifiers use."""
    seen: set[bpy.types.Object] = set()
    waiting = [item]
    while waiting:
        at = waiting.pop()
        if at is None or at in seen:
            continue
        seen.add(at)
        yield at
        waiting.append(at.parent)
        for each in (*at.constraints, *at.modifiers):
            for name in ("target", "object"):
                other = getattr(each, name, None)
                if isinstance(other, bpy.types.Object):
                    waiting.append(other)
            if each.type == "ARMATURE" and hasattr(each, "targets"):
                waiting += [target.target for target in each.targets]


def plan_added(
    rig: bpy.types.Object,
    joints: Sequence[str],
    carried: Sequence[CarriedObject],
    points: Sequence[Wanted],
) -> tuple[Added, ...]:
    """The objects and vertices among `points`, each hung on the nearest joint above it.

    joints    names of the bones that are joints, in order; behind them come what is `carried`,
              and then what is planned here. Raises PlumblineError where a mesh is in edit mode.
    """
    place = {each.item: len(joints) + n for n, each in enumerate(carried)}
    chosen = [
        point
        for point in points
        if point.is_there and not point.bone and (point.vertex >= 0 or point.item not in place)
    ]
    _refuse_edited(chosen)
    for n, point in enumerate(chosen):
        if point.vertex < 0:
            place[point.item] = len(joints) + len(carried) + n
    found = []
    for point in chosen:
        box = None if point.vertex >= 0 else box_of(point.item)
        found.append(Added(point, _joint_above(rig, joints, place, point), box))
    return tuple(found)


def _refuse_edited(points: Sequence[Wanted]) -> None:
    """In edit mode a mesh has the shape that is edited, not the one that plays."""
    for point in points:
        if point.vertex >= 0 and point.item.data.is_editmode:
            raise PlumblineError(
                f"{point.item.name!r}, of which a vertex is followed, is in edit mode, expected "
                "its shape as it plays: leave edit mode (Tab) first."
            )


def _joint_above(
    rig: bpy.types.Object,
    joints: Sequence[str],
    place: dict[bpy.types.Object, int],
    point: Wanted,
) -> int:
    at: Any = point.item
    if point.vertex >= 0:
        if at in place:
            return place[at]
        bone = _heaviest_bone(at, point.vertex, rig)
        if bone and (joint := _bone_above(rig, bone, joints)) >= 0:
            return joint
    while at is not None:
        for bone in holding_bones(at, rig):
            if (joint := _bone_above(rig, bone, joints)) >= 0:
                return joint
        at = at.parent
        if at in place:
            return place[at]
    return -1


def _bone_above(rig: bpy.types.Object, bone: str, joints: Sequence[str]) -> int:
    """The joint that a bone is, or the nearest one above it; -1 for none."""
    if not is_rig(rig):
        return -1
    at = rig.data.bones.get(bone)
    while at is not None and at.name not in joints:
        at = at.parent
    return -1 if at is None else joints.index(at.name)


def _heaviest_bone(item: bpy.types.Object, vertex: int, rig: bpy.types.Object) -> str:
    """The bone of a rig that moves a vertex of a mesh most, by its weights; empty for none."""
    if not any(each.type == "ARMATURE" and each.object == rig for each in item.modifiers):
        return ""
    groups = [(each.weight, each.group) for each in item.data.vertices[vertex].groups]
    names = [(weight, item.vertex_groups[group].name) for weight, group in groups]
    of_rig = [(weight, name) for weight, name in names if name in rig.data.bones]
    return max(of_rig, default=(0.0, ""))[1]


class AddedReader:
    """Collects where added objects and vertices are: `matrices` (T,A,4,4)."""

    def __init__(self, added: Sequence[Added], frames: int) -> None:
        self._added = added
        self.matrices = np.tile(np.eye(4), (frames, len(added), 1, 1))

    def read(self, at: int, depsgraph: Any, corners: dict[tuple[Any, int], Any]) -> None:
        """Read frame number `at`; `corners` holds a probe for each vertex, see `probes`."""
        for n, each in enumerate(self._added):
            point = each.wanted
            if point.vertex < 0:
                self.matrices[at, n] = np.array(point.item.evaluated_get(depsgraph).matrix_world)
            else:
                probe = corners[point.item, point.vertex].evaluated_get(depsgraph)
                self.matrices[at, n, :3, 3] = np.array(probe.matrix_world.translation)
