# SPDX-License-Identifier: GPL-3.0-or-later
"""Simulations that move or deform an object, and the frame on which each begins."""

from collections.abc import Iterator
from typing import Any

import bpy

# Modifiers whose result depends on the frames before.
_MODIFIERS = ("CLOTH", "DYNAMIC_PAINT", "FLUID", "SOFT_BODY")
_ZONE = "GeometryNodeSimulationOutput"


def simulation_of(scene: bpy.types.Scene, item: bpy.types.Object, *, deformed: bool) -> str:
    """Why an object is simulated, as a sentence that takes its name; empty where it is not.

    With `deformed` off, what changes only its shape does not count.
    """
    if _falls_freely(scene, item):
        return "the rigid body {!r} moves what is followed"
    if deformed and any(_simulates(modifier) for modifier in item.modifiers):
        return "a simulation deforms {!r}, which moves what is followed"
    return ""


def start_of(scene: bpy.types.Scene, item: bpy.types.Object) -> int:
    """The first frame of the simulations of an object: they are stepped from there."""
    starts = [start for modifier in item.modifiers for start in _starts(scene, modifier)]
    if _falls_freely(scene, item):
        starts.append(scene.rigidbody_world.point_cache.frame_start)
    return min(starts, default=scene.frame_start)


def _falls_freely(scene: bpy.types.Scene, item: bpy.types.Object) -> bool:
    body = item.rigid_body
    return scene.rigidbody_world is not None and body is not None and body.type == "ACTIVE"


def _simulates(modifier: Any) -> bool:
    if modifier.type == "NODES":
        return modifier.node_group is not None and _has_zone(modifier.node_group, set())
    return modifier.type in _MODIFIERS


def _has_zone(group: Any, seen: set[Any]) -> bool:
    """Whether a node group, or a group inside it, holds a simulation zone."""
    if group in seen:
        return False
    seen.add(group)
    inner = [getattr(node, "node_tree", None) for node in group.nodes]
    return any(node.bl_idname == _ZONE for node in group.nodes) or any(
        _has_zone(tree, seen) for tree in inner if tree is not None
    )


def _starts(scene: bpy.types.Scene, modifier: Any) -> Iterator[int]:
    if not _simulates(modifier):
        return
    if modifier.type in ("CLOTH", "SOFT_BODY"):
        yield modifier.point_cache.frame_start
    elif modifier.type == "FLUID" and modifier.domain_settings is not None:
        yield modifier.domain_settings.cache_frame_start
    elif modifier.type == "DYNAMIC_PAINT" and modifier.canvas_settings is not None:
        yield from (surface.frame_start for surface in modifier.canvas_settings.canvas_surfaces)
    elif scene.use_custom_simulation_range:
        yield scene.simulation_frame_start
    else:
        yield scene.frame_start
