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
    """The named rigs, or all animated ones; raises PlumblineError where there are none.

    A name may be shared by rigs of the file and of its libraries: it means all of them, the
    file's own first. Written in full (`porter [props.blend]`), it means one.
    """
    rigs = scene_rigs(scene)
    if not rigs:
        raise PlumblineError(_no_rig(scene))
    moving = animated_rigs(scene)
    if not names:
        if not moving:
            raise PlumblineError(
                f"no rig in the scene {scene.name!r} is animated "
                f"({', '.join(rig.name for rig in rigs)}), expected keys: animate one first."
            )
        return moving
    return list(dict.fromkeys(rig for name in names for rig in _named(name, rigs, moving)))


def _no_rig(scene: bpy.types.Scene) -> str:
    for item in scene.objects:
        inside = item.instance_collection if item.instance_type == "COLLECTION" else None
        if inside is not None and any(each.type == "ARMATURE" for each in inside.all_objects):
            return (
                f"the scene {scene.name!r} holds a rig only inside the collection instance "
                f"{item.name!r}, expected a rig of its own: make a library override of it, or make "
                "the instance real."
            )
    return (
        f"the scene {scene.name!r} holds no armature with bones, expected a rig: add one or "
        "choose another scene."
    )


def _named(
    name: str, rigs: list[bpy.types.Object], moving: list[bpy.types.Object]
) -> list[bpy.types.Object]:
    meant = [rig for rig in rigs if name in (rig.name, rig.name_full)]
    if not meant:
        known = ", ".join(rig.name_full for rig in rigs)
        raise PlumblineError(f"there is no rig {name!r}, expected one of {known}: choose one.")
    if not set(meant) & set(moving):
        raise PlumblineError(
            f"the rig {name!r} has no animation, expected keys, strips or drivers: animate it "
            "first."
        )
    return [rig for rig in meant if rig in moving]
