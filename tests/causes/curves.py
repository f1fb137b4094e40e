# SPDX-License-Identifier: GPL-3.0-or-later
"""The groups of curves of a rig that one fault may touch, and working on a copy of its action."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from demo_scenes.captured.fcurves import ensure_fcurve, find_fcurve, object_fcurves
from demo_scenes.rigify_human.beziers import Keys
from demo_scenes.rigify_human.faults import read_keys, write_keys

_PATH = re.compile(r'^pose\.bones\["([^"]+)"\]\.?(.+)$')
TURNS = ("rotation_quaternion", "rotation_euler")


@dataclass(frozen=True)
class GroupName:
    """A control's property: `location`, a rotation, or the path of a single number."""

    control: str
    prop: str

    @property
    def path(self) -> str:
        """Its data path on the armature object."""
        return f'pose.bones["{self.control}"]{"" if self.prop.startswith("[") else "."}{self.prop}'


@dataclass(frozen=True, eq=False)
class CurveGroup:
    """The clean keys of a group, and its curves' values on every frame of the shot.

    keys: index -> Keys; values: index -> (T,) on the frames first, first + 1 ...
    """

    name: GroupName
    keys: dict[int, Keys]
    values: dict[int, np.ndarray]

    @property
    def frames(self) -> list[float]:
        """Frames that any of its curves is keyed on."""
        return sorted({round(f, 3) for each in self.keys.values() for f in each.frames.tolist()})


def read_groups(rig: bpy.types.Object, first: int, last: int) -> dict[GroupName, CurveGroup]:
    """All groups of the bones of a rig that its action keys, as they play from first to last."""
    keys: dict[GroupName, dict[int, Keys]] = {}
    values: dict[GroupName, dict[int, np.ndarray]] = {}
    for curve in object_fcurves(rig):
        match = _PATH.match(curve.data_path)
        if match:
            name = GroupName(match[1], match[2])
            keys.setdefault(name, {})[curve.array_index] = read_keys(curve)
            values.setdefault(name, {})[curve.array_index] = curve_values(curve, first, last)
    return {name: CurveGroup(name, keys[name], values[name]) for name in keys}


def curve_values(curve: bpy.types.FCurve, first: int, last: int) -> np.ndarray:
    """(T,) what a curve evaluates to on the frames of a range."""
    return np.array([curve.evaluate(frame) for frame in range(first, last + 1)])


def write_group(rig: bpy.types.Object, name: GroupName, keys: dict[int, Keys]) -> None:
    """Replace the keys of some of a group's curves; curves that are missing are made."""
    for index, each in keys.items():
        curve = find_fcurve(rig, name.path, index) or ensure_fcurve(rig, name.path, index)
        write_keys(curve, each)


def group_values(
    rig: bpy.types.Object, name: GroupName, indices: list[int], first: int, last: int
) -> dict[int, np.ndarray]:
    """Index -> (T,) what some of a group's curves evaluate to now."""
    return {i: curve_values(find_fcurve(rig, name.path, i), first, last) for i in indices}


def drop_curve(rig: bpy.types.Object, path: str) -> None:
    """Take a single number's curve out of the rig's action."""
    data = rig.animation_data
    slot = getattr(data, "action_slot", None)
    holder = data.action.layers[0].strips[0].channelbag(slot) if slot else data.action
    holder.fcurves.remove(find_fcurve(rig, path, 0))


@contextmanager
def working_copy(rig: bpy.types.Object) -> Iterator[None]:
    """The rig plays a copy of its action inside the block, which is gone afterwards."""
    data = rig.animation_data
    pristine = data.action
    slot = getattr(data, "action_slot", None)
    identifier = slot.identifier if slot else None
    copy = pristine.copy()
    _assign(data, copy, identifier)
    try:
        yield
    finally:
        _assign(data, pristine, identifier)
        bpy.data.actions.remove(copy)


def _assign(data: Any, action: bpy.types.Action, identifier: str | None) -> None:
    data.action = action
    if identifier is not None:
        data.action_slot = action.slots[identifier]
