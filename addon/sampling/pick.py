# SPDX-License-Identifier: GPL-3.0-or-later
"""Which scene, and which rigs or plain objects, a command means."""

from collections.abc import Sequence

import bpy

from ...analysis.errors import PlumblineError
from .scene_facts import animated_rigs, moving_objects, rig_of, scene_rigs


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
    """The named rigs or objects, or all animated rigs; raises PlumblineError where there are none.

    A name may be shared by rigs of the file and of its libraries: it means all of them, the
    file's own first. Written in full (`porter [props.blend]`), it means one. A rig is meant before
    a plain object of the same name; plain objects are meant only where they are named.
    """
    rigs = scene_rigs(scene)
    moving = animated_rigs(scene)
    if not names:
        if not rigs:
            raise PlumblineError(_no_rig(scene))
        if not moving:
            raise PlumblineError(
                f"no rig in the scene {scene.name!r} is animated "
                f"({', '.join(rig.name for rig in rigs)}), expected keys: animate one first."
            )
        return moving
    found = [each for name in names for each in _named(scene, name, rigs, moving)]
    return list(dict.fromkeys(found))


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
        f"the scene {scene.name!r} holds no armature with bones, expected a rig: add one, "
        "choose another scene, or name an animated object."
    )


def _named(
    scene: bpy.types.Scene,
    name: str,
    rigs: list[bpy.types.Object],
    moving: list[bpy.types.Object],
) -> list[bpy.types.Object]:
    meant = [rig for rig in rigs if name in (rig.name, rig.name_full)]
    what = "rig"
    if not meant:
        what, moving = "object", moving_objects(scene)
        plain = (item for item in scene.objects if item.type != "ARMATURE")
        meant = [item for item in plain if name in (item.name, item.name_full)]
    if not meant:
        raise PlumblineError(_unknown(scene, name, rigs))
    if not set(meant) & set(moving):
        raise PlumblineError(_still(meant[0], name, what))
    return [each for each in meant if each in moving]


def _still(item: bpy.types.Object, name: str, what: str) -> str:
    rig = rig_of(item)
    if what == "object" and rig is not None:
        return (
            f"the object {name!r} moves with the rig {rig.name!r}, expected the rig itself or an "
            "object that moves by itself: name the rig."
        )
    return (
        f"the {what} {name!r} has no animation, expected keys, strips or drivers: animate it first."
    )


def _unknown(scene: bpy.types.Scene, name: str, rigs: list[bpy.types.Object]) -> str:
    known = rigs or moving_objects(scene)
    if not known:
        return _no_rig(scene)
    names = ", ".join(each.name_full for each in known)
    return f"there is no rig {name!r}, expected one of {names}: choose one."
