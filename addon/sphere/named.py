# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball's name says what it is on, unless the user has given it another."""

from typing import TYPE_CHECKING, Any

import bpy

from .facts import NAME
from .ours import parts_of_upright, uprights_of

if TYPE_CHECKING:
    from .point import Point

_WORDS = {"root": "root", "pelvis": "pelvis", "com": "mass"}


def ball_name(rig: bpy.types.Object, point: "Point") -> str:
    """`porter pelvis sphere`, `porter hand.L sphere`, `crate sphere`."""
    where = point.where
    bone = where.joint if where.points[0].bone else ""
    on = _WORDS.get(where.what, bone)
    return " ".join(part for part in (rig.name, on, "sphere") if part)


def name_ball(scene: bpy.types.Scene, sphere: bpy.types.Object, name: str) -> None:
    """Give a ball, and what was made with it, a name, unless it has that but for Blender's number
    at its end, or is called otherwise than it was by us."""
    old = sphere.name
    # One of an older file is called so by us.
    if old != sphere.get(NAME, old if " root sphere" in old else ""):
        return
    if name not in (old, old.rpartition(".")[0]):
        blocks: list[Any] = [sphere, sphere.data, *_materials(sphere)]
        for copy in uprights_of(scene, sphere):
            blocks += parts_of_upright(copy)
        for block in blocks:
            if block.name.startswith(old) and not block.library:
                block.name = name + block.name[len(old) :]
    sphere[NAME] = sphere.name


def _materials(sphere: bpy.types.Object) -> list[Any]:
    mesh: Any = sphere.data
    return [each for each in mesh.materials if each is not None]
