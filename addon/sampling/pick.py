# SPDX-License-Identifier: GPL-3.0-or-later
"""Which scene and which rigs a command means."""

from collections.abc import Sequence

import bpy

from ...analysis.errors import PlumblineError
from .scene_facts import animated_rigs, scene_rigs


def pick_scene(name: str | None) -> bpy.types.Scene:
    """The scene of that name, or the active one; raises PlumblineError where there is none."""
    if name is None:
        return bpy.context.scene
    scene: bpy.types.Scene = bpy.data.scenes.get(name)
    if scene is None:
        known = ", ".join(scene.name for scene in bpy.data.scenes)
        raise PlumblineError(f"there is no scene {name!r}, expected one of {known}: choose one.")
    return scene


def pick_rigs(scene: bpy.types.Scene, names: Sequence[str] | None) -> list[bpy.types.Object]:
    """The named rigs, or all animated ones; raises PlumblineError where there are none."""
    rigs = scene_rigs(scene)
    if not rigs:
        raise PlumblineError(
            f"the scene {scene.name!r} holds no armature with bones, expected a rig: add one or "
            "choose another scene."
        )
    moving = animated_rigs(scene)
    if not names:
        if not moving:
            raise PlumblineError(
                f"no rig in the scene {scene.name!r} is animated "
                f"({', '.join(rig.name for rig in rigs)}), expected keys: animate one first."
            )
        return moving
    return [_named(rig_name, rigs, moving) for rig_name in dict.fromkeys(names)]


def _named(
    name: str, rigs: list[bpy.types.Object], moving: list[bpy.types.Object]
) -> bpy.types.Object:
    rig = next((rig for rig in rigs if rig.name == name), None)
    if rig is None:
        known = ", ".join(rig.name for rig in rigs)
        raise PlumblineError(f"there is no rig {name!r}, expected one of {known}: choose one.")
    if rig not in moving:
        raise PlumblineError(
            f"the rig {name!r} has no animation, expected keys, strips or drivers: animate it "
            "first."
        )
    return rig
