# SPDX-License-Identifier: GPL-3.0-or-later
"""How a rig is set up and posed besides its keys, as plain values: equal ones pose it alike."""

from typing import Any

import bpy
import numpy as np

from ..sampling.curves import bone_of
from ..sampling.key_numbers import Keys
from ..sampling.reach import Reach
from ..sampling.reader import RigPlan
from ..sampling.set_numbers import NONE, settings_of

# What a pose bone holds where nothing is keyed, and how it may be moved.
_POSED = {
    "location": 3,
    "rotation_axis_angle": 4,
    "rotation_euler": 3,
    "rotation_quaternion": 4,
    "scale": 3,
}
_LOCKS = {"lock_location": 3, "lock_rotation": 3, "lock_rotation_w": 1, "lock_rotations_4d": 1}
# How an armature's bones rest, and what they take over from their parents.
_REST = {"matrix_local": 16, "length": 1}
_INHERITS = ("use_inherit_rotation", "use_local_location", "use_relative_parent")


def stance_of(plan: RigPlan) -> tuple[Any, ...]:
    """How a plan's rig is set up and posed, but for what its keys and its drivers move.

    A plain object is told by its transforms, which are read anyway.
    """
    if plan.is_plain:
        return ()
    rig = plan.rig
    bones, data = rig.pose.bones, rig.data.bones
    moved = _moved(plan)
    posed = [_numbers(bones, name, n, np.float32) for name, n in _POSED.items()]
    for values, name in zip(posed, _POSED, strict=True):
        values[moved.get(name, [])] = 0.0
    modes = tuple(bone.rotation_mode for bone in bones) if "rotation_mode" not in moved else ()
    return (
        tuple((bone.name, bone.parent.name if bone.parent else "") for bone in bones),
        modes,
        *(values.tobytes() for values in posed),
        *(_numbers(bones, name, n, np.bool_).tobytes() for name, n in _LOCKS.items()),
        *(_numbers(data, name, n, np.float32).tobytes() for name, n in _REST.items()),
        *(_numbers(data, name, 1, np.bool_).tobytes() for name in _INHERITS),
    )


def _numbers(items: Any, name: str, width: int, kind: Any) -> Any:
    values = np.zeros(len(items) * width, dtype=kind)
    items.foreach_get(name, values)
    return values


def _moved(plan: RigPlan) -> dict[str, list[int]]:
    """By the name of a property, its places among all bones' values that keys or drivers move."""
    moved: dict[str, list[int]] = {}
    for channel in plan.channels:
        if channel.prop is not None:
            moved.setdefault(channel.prop, []).append(channel.index)
    for prop, bone, index in driven(plan.rig):
        place = plan.rig.pose.bones.find(bone)
        if place >= 0:
            moved.setdefault(prop, []).append(place * _POSED.get(prop, 1) + index)
    if any(curve.data_path.endswith(".rotation_mode") for curve in plan.curves):
        moved["rotation_mode"] = []
    return moved


def driven(rig: bpy.types.Object) -> list[tuple[str, str, int]]:
    """(property, bone, index) of each property of a rig's bones that is driven."""
    data = rig.animation_data
    found = []
    for curve in () if data is None else data.drivers:
        bone, prop = bone_of(curve.data_path), curve.data_path.rpartition(".")[2]
        if bone is not None and (prop in _POSED or prop == "rotation_mode"):
            found.append((prop, bone, curve.array_index))
    return found


def links_around(reach: Reach | None, keys: Keys) -> tuple[Any, ...] | None:
    """What a rig's reach was told by the blocks around it, but for what `keys` tells; None where
    any of them is gone, or was read anew by Blender."""
    try:
        return tuple(_link(block, keys) for block in (() if reach is None else reach.blocks))
    except ReferenceError:
        return None


def _link(block: Any, keys: Keys) -> tuple[Any, ...]:
    number, parent = block.session_uid, getattr(block, "parent", None)
    settings = NONE if number in keys.settings else settings_of(block)
    hung = (getattr(block, "parent_type", ""), getattr(block, "parent_bone", ""))
    return number, settings, 0 if parent is None else parent.session_uid, hung
