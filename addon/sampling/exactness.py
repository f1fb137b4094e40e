# SPDX-License-Identifier: GPL-3.0-or-later
"""What rigs and props depend on, and whether a temporary scene can give their poses."""

from collections.abc import Iterable, Iterator
from typing import Any

import bpy

# Blocks of these kinds can move something; anything else (materials, images) is not looked into.
_KINDS = {
    "ARMATURE",
    "CAMERA",
    "COLLECTION",
    "CURVE",
    "KEY",
    "LATTICE",
    "MESH",
    "NODETREE",
    "OBJECT",
    "SCENE",
}
_SIMULATIONS = ("CLOTH", "SOFT_BODY")
# Drivers read the active scene: a temporary copy of the scene gives them what they need.
CONTEXT = "a driver reads the active scene"


def why_not_exact(
    scene: bpy.types.Scene,
    objects: Iterable[bpy.types.Object],
    placed: Iterable[bpy.types.Object] = (),
) -> str:
    """Why a temporary scene's poses may differ from the real scene's; empty where they cannot.

    CONTEXT means that a copy of the scene would do. What is looked at is all that the objects
    depend on, however far away: parents, constraint and driver targets, modifiers. Of `placed`
    objects only the transforms count, not what deforms them.
    """
    shapes = set(placed)
    context = ""
    for block in _dependencies([*objects, *shapes]):
        if isinstance(block, bpy.types.Scene):
            return f"a driver reads the scene {block.name!r}"
        if isinstance(block, bpy.types.Object):
            if _falls_freely(scene, block):
                return f"the rigid body {block.name!r} moves what is followed"
            if block not in shapes and any(m.type in _SIMULATIONS for m in block.modifiers):
                return f"a simulation deforms {block.name!r}, which moves what is followed"
        for driver in _drivers(block):
            if driver.type == "SCRIPTED" and "bpy" in driver.expression:
                return f"a driver of {block.name!r} asks Blender itself by script"
            if any(variable.type == "CONTEXT_PROP" for variable in driver.variables):
                context = CONTEXT
    return context


def _dependencies(objects: Iterable[bpy.types.Object]) -> list[Any]:
    """The objects and all data-blocks that they use, directly or not; scenes end the search.

    A dependency graph does not list the targets of constraints and drivers, so Blender is
    asked who uses what.
    """
    used_by: dict[Any, list[Any]] = {}
    # The stubs declare all three arguments as required, which Blender does not.
    uses = bpy.data.user_map(key_types=_KINDS)  # type: ignore[call-arg]
    for block, users in uses.items():
        for user in users:
            used_by.setdefault(user, []).append(block)
    found: dict[Any, None] = {}
    waiting: list[Any] = list(objects)
    while waiting:
        block = waiting.pop()
        if block not in found:
            found[block] = None
            if not isinstance(block, bpy.types.Scene):
                waiting += used_by.get(block, ())
    return list(found)


def _falls_freely(scene: bpy.types.Scene, item: bpy.types.Object) -> bool:
    body = item.rigid_body
    return scene.rigidbody_world is not None and body is not None and body.type == "ACTIVE"


def _drivers(block: Any) -> Iterator[Any]:
    data = getattr(block, "animation_data", None)
    if data is not None:
        for curve in data.drivers:
            yield curve.driver
