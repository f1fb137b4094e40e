# SPDX-License-Identifier: GPL-3.0-or-later
"""How a rig and all that its poses hang on stand besides their keys, as plain values: equal ones
pose it alike."""

from collections.abc import Iterable
from typing import Any

import bpy
import numpy as np

from ..sampling.curves import bone_of
from ..sampling.key_numbers import Keys
from ..sampling.links import Place, blocks_beside, links_of, place_of
from ..sampling.reach import Reach
from ..sampling.reading import ShotReader
from ..sampling.set_numbers import NONE, settings_of
from ..sampling.unkeyed import Played, number_of_place, number_of_shape, played_of

_AXES = "xyz"
# What a pose bone holds where nothing is keyed,
_POSED = {
    "location": 3,
    "rotation_axis_angle": 4,
    "rotation_euler": 3,
    "rotation_quaternion": 4,
    "scale": 3,
}
# and how it may be moved: words, switches, numbers.
_CHOSEN = ("rotation_mode",)
_SWITCHED = {
    "lock_location": 3,
    "lock_rotation": 3,
    "lock_rotation_w": 1,
    "lock_rotations_4d": 1,
    "use_ik_rotation_control": 1,
    "use_ik_linear_control": 1,
    **{f"lock_ik_{axis}": 1 for axis in _AXES},
    **{f"use_ik_limit_{axis}": 1 for axis in _AXES},
}
_LIMITED = (
    "ik_stretch",
    "ik_rotation_weight",
    "ik_linear_weight",
    *(f"ik_{what}_{axis}" for what in ("min", "max", "stiffness") for axis in _AXES),
)
# How an armature's bones rest, and what they take over from their parents.
_REST = {"matrix_local": 16, "length": 1}
_TAKEN_OVER = ("use_inherit_rotation", "use_local_location", "use_relative_parent")
_SCALED = ("inherit_scale",)


def stance_of(reader: ShotReader) -> tuple[Any, ...]:
    """How all that is read, and what leads it, stands but for what keys and drivers move."""
    (plan,) = reader.plans
    blocks, properties = _around(plan.reach, reader.objects)
    played = {block: played_of(block) for block in blocks}
    paths = {block: {path for path, _index in each} for block, each in played.items()}
    return (
        *((block.session_uid, *_told(block, played[block])) for block in blocks),
        *(_value(place) for place in properties if place.path not in paths[place.block]),
    )


def _around(reach: Reach | None, items: Iterable[Any]) -> tuple[list[Any], list[Place]]:
    """What is read with all that leads it, and the custom properties that drivers read of it."""
    blocks = dict.fromkeys(() if reach is None else reach.blocks)
    properties = dict.fromkeys(() if reach is None else reach.properties)
    waiting = list(items)
    while waiting:
        block = waiting.pop(0)
        if block not in blocks:
            blocks[block] = None
            leaders = [leader for leader, _follower in links_of(block)]
            properties.update(dict.fromkeys(each for each in leaders if each.is_property))
            waiting += [*blocks_beside(block), *(each.block for each in leaders)]
    return list(blocks), list(properties)


def _told(block: Any, played: Played) -> tuple[Any, ...]:
    if not isinstance(block, bpy.types.Object):
        return ()
    place, shape = number_of_place(block, played), number_of_shape(block.data)
    if block.pose is None:
        return place, shape
    return (place, *_posed(block, played), *_rested(block.data))


def _posed(rig: bpy.types.Object, played: Played) -> list[Any]:
    bones, moved = rig.pose.bones, _moved(rig, rig.pose.bones, played)
    return [
        tuple((bone.name, bone.parent.name if bone.parent else "") for bone in bones),
        *(_numbers(bones, name, n, np.float32, moved) for name, n in _POSED.items()),
        *(_numbers(bones, name, 1, np.int32, moved) for name in _CHOSEN),
        *(_numbers(bones, name, n, np.bool_, moved) for name, n in _SWITCHED.items()),
        *(_numbers(bones, name, 1, np.float32, moved) for name in _LIMITED),
    ]


def _rested(data: Any) -> list[Any]:
    bones, moved = data.bones, _moved(data, data.bones, played_of(data))
    return [
        *(_numbers(bones, name, n, np.float32, moved) for name, n in _REST.items()),
        *(_numbers(bones, name, 1, np.bool_, moved) for name in _TAKEN_OVER),
        *(_numbers(bones, name, 1, np.int32, moved) for name in _SCALED),
    ]


def _numbers(
    items: Any, name: str, width: int, kind: Any, moved: dict[str, list[tuple[int, int]]]
) -> bytes:
    values = np.zeros((len(items), width), dtype=kind)
    items.foreach_get(name, values.reshape(-1))
    for place, index in moved.get(name, ()):
        values[place, index] = 0
    return values.tobytes()


def _moved(block: Any, bones: Any, played: Played) -> dict[str, list[tuple[int, int]]]:
    """By the name of a property, (bone's place, index) of each that keys or drivers move."""
    moved: dict[str, list[tuple[int, int]]] = {}
    places = {bone.name: n for n, bone in enumerate(bones)} if played else {}
    for path, index in played:
        name = place_of(block, path).bone
        if name in places:
            moved.setdefault(path.rpartition(".")[2], []).append((places[name], index))
    return moved


def _value(place: Place) -> Any:
    """What a custom property holds; None where it is gone."""
    try:
        value = place.block.path_resolve(place.path)
    except ValueError:
        return None
    for plain in ("to_list", "to_dict"):  # an array, or a group
        value = getattr(value, plain)() if hasattr(value, plain) else value
    return (place.path, value if isinstance(value, (bool, int, float, str)) else repr(value))


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
