# SPDX-License-Identifier: GPL-3.0-or-later
"""Objects that a figure carries: found by what they hang on, followed as one joint each."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...analysis.carried import FLAT_SHARE
from .holders import Holders, targets_of

# The user sets it on an object that is meant to be rigid with what holds it: a shield, a splint.
FIXED = "plumbline_fixed"


@dataclass(frozen=True, eq=False)
class CarriedObject:
    """An object, the part that holds it (None: not held), its box (2,3): low and high corner.

    The box is in the object's own axes and units, as Blender last showed the object: what its
    modifiers add is in it.
    """

    item: bpy.types.Object
    held_by: str | None
    box: Any


def carried_objects(
    rig: bpy.types.Object,
    roles: dict[str, tuple[str, ...]],
    *,
    among: Iterable[bpy.types.Object],
    held_only: bool,
) -> list[CarriedObject]:
    """Objects that the rig carries, by name: parented or constrained to a hand or forearm,
    or to a control or mechanism bone of it (see `holders`).

    With `held_only` off, those of `among` that are not held are followed as well.
    """
    holders, found = Holders(rig, roles), []
    for item in sorted(among, key=lambda o: o.name):
        if item.type not in ("MESH", "CURVE", "EMPTY"):
            continue
        parts = (holders.of(bone) for bone in holding_bones(item, rig))
        held_by = next((part for part in parts if part), None)
        if held_by or not held_only:
            found.append(CarriedObject(item, held_by, box_of(item)))
    return found


def is_fixed(item: bpy.types.Object) -> bool:
    """Whether the user says that an object is meant to be rigid with its holder."""
    return bool(item.get(FIXED, False))


def alone(item: bpy.types.Object) -> CarriedObject:
    """An object that nothing holds."""
    return CarriedObject(item, None, box_of(item))


def holding_bones(item: bpy.types.Object, rig: bpy.types.Object) -> Iterator[str]:
    """The bones of a rig that an object is parented or constrained to."""
    if item.parent == rig and item.parent_type == "BONE":
        yield item.parent_bone
    yield from targets_of(item.constraints, rig)


def box_of(item: bpy.types.Object) -> Any:
    """(2,3) low and high corner in the object's axes, as Blender last showed it."""
    corners = np.array([tuple(corner) for corner in item.bound_box], dtype=np.float64)
    return np.array([corners.min(axis=0), corners.max(axis=0)])


def long_ends(box: Any, matrix: Any) -> Any:
    """(2,3) from an object's origin to the middles of the faces that end its longest side.

    box (2,3) in the object's axes; matrix (4,4) or (3,3) places it, mirrored and sheared as it
    may be. The result is in the world's axes, the end nearer to the origin first.
    """
    turn = np.asarray(matrix)[:3, :3]
    axis = int(np.argmax((box[1] - box[0]) * np.linalg.norm(turn, axis=0)))
    ends = np.repeat(box.mean(axis=0)[None], 2, axis=0)
    ends[:, axis] = box[:, axis]
    placed = ends @ turn.T
    return placed[np.argsort(np.linalg.norm(placed, axis=1), kind="stable")]


def flat_sides(box: Any, matrix: Any) -> Any | None:
    """(2,3) from an object's origin to the middles of both edges of a flat thing, such as a blade.

    The faces that end its second longest side; None where it is as thick as wide (`FLAT_SHARE`),
    or has no width. box and matrix as in `long_ends`, the edge further from the origin first.
    """
    turn = np.asarray(matrix)[:3, :3]
    sizes = (box[1] - box[0]) * np.linalg.norm(turn, axis=0)
    thin, wide, _long = np.argsort(sizes, kind="stable")
    if sizes[wide] <= 0.0 or sizes[thin] > FLAT_SHARE * sizes[wide]:
        return None
    edges = np.repeat(box.mean(axis=0)[None], 2, axis=0)
    edges[:, wide] = box[:, wide]
    placed = edges @ turn.T
    return placed[np.argsort(-np.linalg.norm(placed, axis=1), kind="stable")]
