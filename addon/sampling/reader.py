# SPDX-License-Identifier: GPL-3.0-or-later
"""Reads one rig and what it carries, or one plain object, from evaluated frames into arrays."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import bpy
import numpy as np

from ...analysis.curves import Curve
from .added import Added, AddedReader, plan_added
from .channels import Channel, ChannelReader, plan_channels
from .curves import Fields, bone_of, read_curves
from .follow import Wanted
from .goals import limb_targets
from .key_fields import key_fields
from .movers import curves_beside, influence_curves
from .props import CarriedObject, alone, carried_objects
from .reach import Reach
from .scene_facts import check_posed, is_rig, time_stretch
from .skeleton import Skeleton, no_skeleton, read_skeleton
from .stages import place_on
from .told_parts import told_parts


@dataclass(frozen=True, eq=False)
class Known:
    """What an earlier plan has found out, each where that still holds.

    reach     what may follow what
    skeleton  is looked at by `read_skeleton`
    fields    what tells of the keys of the rig's own curves
    """

    reach: Reach | None = None
    skeleton: Skeleton | None = None
    fields: Fields = key_fields


@dataclass(frozen=True, eq=False)
class RigPlan:
    """What is read of one rig, or of one plain object: then `props` holds that object alone.

    name       what the clip is called
    bones      those that are followed only because the user asked for it
    added      objects and vertices of that kind
    lost       what was asked for and is no longer there, in words
    curves     the rig's own, which `controls` and `channels` belong to, and those of what else
               moves it
    controls   names of keyed controls, with their indices into pose.bones; None: the object; and
               of the IK targets of hands and feet
    targets    hands and feet with the control that each is pulled to
    reach      what may follow what; None for a plain object
    """

    rig: bpy.types.Object
    name: str
    skeleton: Skeleton
    props: tuple[CarriedObject, ...]
    curves: tuple[Curve, ...]
    controls: tuple[tuple[str, int | None], ...]
    channels: tuple[Channel, ...]
    bones: tuple[str, ...] = ()
    added: tuple[Added, ...] = ()
    lost: tuple[str, ...] = ()
    targets: tuple[tuple[str, str], ...] = ()
    reach: Reach | None = None

    @property
    def is_plain(self) -> bool:
        """Whether it is a plain object, which has no bones."""
        return not is_rig(self.rig)


def plan_rig(
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    props: Sequence[bpy.types.Object] | None = None,
    *,
    first: int,
    name: str,
    wanted: Sequence[Wanted] = (),
    known: Known | None = None,
) -> RigPlan:
    """Decide what to read of a rig before its frames, from `first` on, are stepped.

    props are the objects to follow with it; where None, those of the scene that it holds.
    `name` is what the clip is called; `wanted` what the user asked to follow with it. Raises
    PlumblineError for a rig that shows no poses. A plain object is followed alone, whatever
    hangs on it. `known` is what was found out for an earlier plan.
    """
    if not is_rig(rig):
        return _plan_plain(scene, rig, name, wanted)
    check_posed(rig)
    added = tuple(each.bone for each in wanted if each.bone and each.is_there)
    known = known or Known()
    curves = read_curves(rig, stretch=time_stretch(scene), fields=known.fields)
    bones = {bone_of(curve.data_path) for curve in curves} - {None}
    told = told_parts(scene, rig)
    standing = partial(place_on, scene, rig, first)
    skeleton = read_skeleton(rig, standing, bones, added, told, known.skeleton)
    reach = known.reach or Reach(rig)
    curves = _with_drives([(rig, curve) for curve in curves], reach, skeleton.joints)
    beside = curves_beside(rig, reach, stretch=time_stretch(scene))
    moving = [each for each in _with_drives(beside, reach, skeleton.joints) if each.drives]
    place = {bone.name: n for n, bone in enumerate(rig.pose.bones)}
    keyed = {curve.control: bone_of(curve.data_path) for curve in curves}
    targets = limb_targets(rig, skeleton.roles)
    keyed |= {bone: bone for _part, bone in targets}
    among, held_only = (scene.objects, True) if props is None else (props, False)
    carried = carried_objects(rig, skeleton.roles, among=among, held_only=held_only)
    moving += influence_curves(rig, curves, stretch=time_stretch(scene))
    return RigPlan(
        rig=rig,
        name=name,
        skeleton=skeleton,
        props=tuple(carried),
        curves=(*curves, *moving),
        controls=tuple((name, None if b is None else place[b]) for name, b in keyed.items()),
        channels=plan_channels(rig, curves),
        bones=added,
        added=plan_added(rig, skeleton.joints, carried, wanted),
        lost=_lost(wanted),
        targets=targets,
        reach=reach,
    )


def _lost(wanted: Sequence[Wanted]) -> tuple[str, ...]:
    gone = [each for each in wanted if not each.is_there]
    return tuple(f"{each.bone} of {each.item.name}" if each.bone else each.name for each in gone)


def _plan_plain(
    scene: bpy.types.Scene, item: bpy.types.Object, name: str, wanted: Sequence[Wanted]
) -> RigPlan:
    curves = read_curves(item, stretch=time_stretch(scene))
    curves = tuple(replace(curve, drives=(item.name,)) for curve in curves)
    return RigPlan(
        rig=item,
        name=name,
        skeleton=no_skeleton(),
        props=(alone(item),),
        curves=curves,
        controls=tuple((control, None) for control in dict.fromkeys(c.control for c in curves)),
        channels=plan_channels(item, curves),
        added=plan_added(item, (), [alone(item)], wanted),
        lost=_lost(wanted),
    )


def _with_drives(
    curves: Sequence[tuple[Any, Curve]], reach: Reach, joints: tuple[str, ...]
) -> tuple[Curve, ...]:
    """The curves of blocks with the joints that their channels move."""
    drives: dict[tuple[Any, str], tuple[str, ...]] = {}
    for block, curve in curves:
        path = (block, curve.data_path)
        if path not in drives:
            reached = reach.of_path(*path)
            drives[path] = tuple(joint for joint in joints if joint in reached)
    return tuple(replace(c, drives=drives[block, c.data_path]) for block, c in curves)


class RigReader:
    """Collects the frames of one rig: call `read` once a frame, then use the arrays.

    bones (T,J,4,4)      float32, pose matrices in the armature's axes, as Blender holds them
    world (T,4,4)        the armature object
    controls (T,C,4,4)   float32, pose matrices of the keyed controls; the object: identity
    channels (T,K)       their evaluated channels
    props (T,P,4,4)      world matrices of what is carried
    added (T,A,4,4)      of the objects and vertices that the user asked for
    """

    def __init__(self, plan: RigPlan, frames: int) -> None:
        self.plan = plan
        self._size = 0 if plan.is_plain else len(plan.rig.pose.bones)
        self._matrices = np.zeros(self._size * 16, dtype=np.float32)
        self._bones = list(plan.skeleton.bones)
        places = [index for _name, index in plan.controls]
        self._columns = [c for c, index in enumerate(places) if index is not None]
        self._controls = [index for index in places if index is not None]
        self.bones = np.zeros((frames, len(self._bones), 4, 4), dtype=np.float32)
        self.world = np.zeros((frames, 4, 4))
        self.controls = np.tile(np.eye(4, dtype=np.float32), (frames, len(places), 1, 1))
        self._channels = ChannelReader(plan.rig, plan.channels, frames)
        self.props = np.zeros((frames, len(plan.props), 4, 4))
        self._added = AddedReader(plan.added, frames)

    @property
    def channels(self) -> Any:
        """(T,K) values of the plan's channels."""
        return self._channels.values

    @property
    def arrays(self) -> tuple[Any, ...]:
        """All that is read frame by frame, frames first."""
        return self.bones, self.world, self.controls, self.channels, self.props, self.added

    @property
    def added(self) -> Any:
        """(T,A,4,4) of the plan's added objects and vertices."""
        return self._added.matrices

    def read(self, at: int, depsgraph: Any, corners: dict[tuple[Any, int], Any]) -> None:
        """Read frame number `at` (counted from 0) from an evaluated dependency graph.

        `corners` holds a probe for each vertex that is followed, see `probes`.
        """
        rig = self.plan.rig.evaluated_get(depsgraph)
        self.world[at] = np.array(rig.matrix_world)
        if self._size:
            rig.pose.bones.foreach_get("matrix", self._matrices)
            # Blender's flat order is column by column, so rows and columns change places.
            matrices = self._matrices.reshape(self._size, 4, 4).transpose(0, 2, 1)
            self.bones[at] = matrices[self._bones]
            self.controls[at, self._columns] = matrices[self._controls]
        self._channels.read(at, rig)
        for p, carried in enumerate(self.plan.props):
            seen = carried.item.evaluated_get(depsgraph)
            self.props[at, p] = np.array(seen.matrix_world)
        self._added.read(at, depsgraph, corners)
