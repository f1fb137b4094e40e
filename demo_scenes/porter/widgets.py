# SPDX-License-Identifier: GPL-3.0-or-later
"""Wire shapes for the porter's controls: rings, boxes and arrows in metres, colours by side."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

import bpy

Point = tuple[float, float, float]

# Blender's own bone colour sets, so that the user's theme decides the actual colours.
_LEFT, _RIGHT, _MIDDLE, _BODY = "THEME04", "THEME01", "THEME09", "THEME03"


@dataclass(frozen=True)
class Widget:
    """A closed or open wire through `points`, in metres, in the bone's own axes."""

    name: str
    points: tuple[Point, ...]
    closed: bool = True


def _ring(name: str, across: float, deep: float, along: float, sides: int = 32) -> Widget:
    """A ring around the bone, `along` its length: across is local X, deep is local Z."""
    turns = [2.0 * pi * i / sides for i in range(sides)]
    return Widget(name, tuple((across * cos(t), along, deep * sin(t)) for t in turns))


def _outline(name: str, flat: Sequence[tuple[float, float]], height: float = 0.0) -> Widget:
    """A flat figure in the bone's X and Y, for controls that lie on the floor or the waist."""
    return Widget(name, tuple((x, y, height) for x, y in flat))


def _square_ring(name: str, half: float, corner: float) -> Widget:
    """A square with cut corners, lying flat."""
    a, b = half, half - corner
    flat = [(b, -a), (a, -b), (a, b), (b, a), (-b, a), (-a, b), (-a, -b), (-b, -a)]
    return _outline(name, flat)


def _arrow(name: str) -> Widget:
    """The mover's arrow on the floor: where the figure goes."""
    right = [(0.28, -0.34), (0.28, 0.30), (0.40, 0.30), (0.0, 0.62)]
    left = [(-x, y) for x, y in reversed(right[:-1])]
    return _outline(name, right + left)


def _sole(name: str) -> Widget:
    """A shoe's outline from above, heel at the origin, toe ahead."""
    half = [(0.030, -0.035), (0.052, 0.02), (0.050, 0.10), (0.064, 0.19), (0.046, 0.275)]
    return _outline(name, half + [(-x, y) for x, y in reversed(half)])


def _arc(name: str) -> Widget:
    """A half hoop over the ball of the foot."""
    turns = [pi * i / 12 for i in range(13)]
    return Widget(name, tuple((0.075 * cos(t), 0.0, 0.075 * sin(t)) for t in turns), closed=False)


def _diamond(name: str, size: float) -> Widget:
    ends = [(size, 0, 0), (0, 0, size), (-size, 0, 0), (0, 0, -size), (size, 0, 0)]
    return Widget(name, (*ends, (0, size, 0), (-size, 0, 0), (0, -size, 0)))


_SHAPES: dict[str, Widget] = {
    "mover": _arrow("wgt_mover"),
    "body": _square_ring("wgt_body", 0.27, 0.07),
    "hips": _ring("wgt_hips", 0.215, 0.165, 0.0),
    "spine.1": _ring("wgt_spine.1", 0.175, 0.145, 0.05),
    "spine.2": _ring("wgt_spine.2", 0.180, 0.150, 0.05),
    "chest": _ring("wgt_chest", 0.215, 0.180, 0.06),
    "neck": _ring("wgt_neck", 0.085, 0.090, 0.05),
    "head": _ring("wgt_head", 0.135, 0.150, 0.12),
    "shoulder": _ring("wgt_shoulder", 0.085, 0.085, 0.14),
    "upper_arm": _ring("wgt_upper_arm", 0.075, 0.075, 0.15),
    "forearm": _ring("wgt_forearm", 0.062, 0.062, 0.14),
    "hand": _ring("wgt_hand", 0.055, 0.070, 0.07),
    "foot_ik": _sole("wgt_foot_ik"),
    "foot_roll": _arc("wgt_foot_roll"),
    "knee_pole": _diamond("wgt_knee_pole", 0.03),
}


def dress(rig: bpy.types.Object) -> None:
    """Give every control its wire shape and its colour."""
    for pose_bone in rig.pose.bones:
        part, side = _split(pose_bone.name)
        widget = _SHAPES.get(pose_bone.name) or _SHAPES.get(part)
        if widget is None:
            continue
        pose_bone.custom_shape = _shape_object(widget)
        pose_bone.use_custom_shape_bone_size = False
        pose_bone.color.palette = _palette(pose_bone.name, side)


def _split(bone: str) -> tuple[str, str]:
    part, _, side = bone.partition(".")
    return part, side


def _palette(bone: str, side: str) -> str:
    if bone in ("mover", "body"):
        return _BODY
    return {"L": _LEFT, "R": _RIGHT}.get(side, _MIDDLE)


def _shape_object(widget: Widget) -> bpy.types.Object:
    """One wire object per widget; it is in no scene, the bones that use it keep it in the file."""
    known = bpy.data.objects.get(widget.name)
    if known is not None:
        return known
    mesh = bpy.data.meshes.new(widget.name)
    count = len(widget.points)
    edges = [(i, i + 1) for i in range(count - 1)]
    if widget.closed:
        edges.append((count - 1, 0))
    mesh.from_pydata(list(widget.points), edges, [])
    return bpy.data.objects.new(widget.name, mesh)
