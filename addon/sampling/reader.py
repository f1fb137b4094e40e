# SPDX-License-Identifier: GPL-3.0-or-later
"""Reads one rig and what it carries from evaluated frames into arrays."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import bpy
import numpy as np

from ...analysis.curves import Curve
from .curves import read_curves
from .props import CarriedObject, carried_objects
from .reach import Reach
from .skeleton import Skeleton, read_skeleton
from .stages import place_on

# Channels of a pose bone that foreach_get reads, with their width.
_CHANNELS = {"location": 3, "rotation_euler": 3, "rotation_quaternion": 4, "scale": 3}


@dataclass(frozen=True, eq=False)
class RigPlan:
    """What is read of one rig.

    controls   indices into pose.bones of keyed controls that are bones, with their names
    channels   (name, property, flat index into that property's foreach_get) of keyed channels
    """

    rig: bpy.types.Object
    skeleton: Skeleton
    props: tuple[CarriedObject, ...]
    curves: tuple[Curve, ...]
    controls: tuple[tuple[str, int], ...]
    channels: tuple[tuple[str, str, int], ...]


def plan_rig(
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    props: Sequence[bpy.types.Object] | None = None,
    *,
    first: int,
) -> RigPlan:
    """Decide what to read of a rig before its frames, from `first` on, are stepped.

    props are the objects to follow with it; where None, those of the scene that it holds.
    """
    skeleton = read_skeleton(rig, lambda: place_on(scene, rig, first))
    curves = _with_drives(read_curves(rig), Reach(rig), skeleton.joints)
    place = {bone.name: n for n, bone in enumerate(rig.pose.bones)}
    keyed = dict.fromkeys(curve.control for curve in curves if curve.control in place)
    channels = {}
    for curve in curves:
        prop = curve.channel.rpartition(".")[0]
        if curve.control in place and prop in _CHANNELS:
            index = place[curve.control] * _CHANNELS[prop] + curve.index
            channels[f"{curve.control}|{curve.channel}"] = (prop, index)
    among, held_only = (scene.objects, True) if props is None else (props, False)
    carried = carried_objects(rig, skeleton.roles, among=among, held_only=held_only)
    return RigPlan(
        rig=rig,
        skeleton=skeleton,
        props=tuple(carried),
        curves=curves,
        controls=tuple((name, place[name]) for name in keyed),
        channels=tuple((name, prop, index) for name, (prop, index) in channels.items()),
    )


def _with_drives(
    curves: tuple[Curve, ...], reach: Reach, joints: tuple[str, ...]
) -> tuple[Curve, ...]:
    drives = {}
    for control in {curve.control for curve in curves}:
        reached = reach.of(control)
        drives[control] = tuple(joint for joint in joints if joint in reached)
    return tuple(replace(curve, drives=drives[curve.control]) for curve in curves)


class RigReader:
    """Collects the frames of one rig: call `read` once a frame, then use the arrays.

    bones (T,J,4,4)      float32, pose matrices in the armature's axes, as Blender holds them
    world (T,4,4)        the armature object
    controls (T,C,4,4)   pose matrices of the keyed controls
    channels (T,K)       their evaluated channels
    props (T,P,4,4)      world matrices of what is carried
    """

    def __init__(self, plan: RigPlan, frames: int) -> None:
        self.plan = plan
        self._size = len(plan.rig.pose.bones)
        self._matrices = np.zeros(self._size * 16, dtype=np.float32)
        self._values = {
            name: np.zeros(self._size * width, dtype=np.float32)
            for name, width in _CHANNELS.items()
            if any(prop == name for _key, prop, _index in plan.channels)
        }
        self._bones = list(plan.skeleton.bones)
        self._controls = [index for _name, index in plan.controls]
        self.bones = np.zeros((frames, len(self._bones), 4, 4), dtype=np.float32)
        self.world = np.zeros((frames, 4, 4))
        self.controls = np.zeros((frames, len(self._controls), 4, 4), dtype=np.float32)
        self.channels = np.zeros((frames, len(plan.channels)))
        self.props = np.zeros((frames, len(plan.props), 4, 4))

    def read(self, at: int, depsgraph: Any) -> None:
        """Read frame number `at` (counted from 0) from an evaluated dependency graph."""
        rig = self.plan.rig.evaluated_get(depsgraph)
        bones = rig.pose.bones
        bones.foreach_get("matrix", self._matrices)
        # Blender's flat order is column by column, so rows and columns change places.
        matrices = self._matrices.reshape(self._size, 4, 4).transpose(0, 2, 1)
        self.world[at] = np.array(rig.matrix_world)
        self.bones[at] = matrices[self._bones]
        self.controls[at] = matrices[self._controls]
        for name, values in self._values.items():
            bones.foreach_get(name, values)
        for k, (_key, prop, index) in enumerate(self.plan.channels):
            self.channels[at, k] = self._values[prop][index]
        for p, carried in enumerate(self.plan.props):
            seen = carried.item.evaluated_get(depsgraph)
            self.props[at, p] = np.array(seen.matrix_world)
