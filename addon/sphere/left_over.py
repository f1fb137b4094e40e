# SPDX-License-Identifier: GPL-3.0-or-later
"""What is left of a ball that was deleted by hand: its upright copies, and what turned them."""

from typing import Any

import bpy

from .ours import (
    UPRIGHT_OF,
    ball_of,
    is_upright,
    remove_empty_collections,
    remove_unused,
    remove_upright,
    spheres_in,
)


def left_over(scene: bpy.types.Scene) -> list[bpy.types.Object]:
    """Upright copies whose ball is not in the scene, and what turns none any more."""
    ours: list[Any] = [o for o in _items(scene) if UPRIGHT_OF in o and not o.library]
    if not ours:
        return []
    balls = spheres_in(scene)
    copies = [o for o in ours if is_upright(o) and ball_of(scene, o) not in balls]
    return copies + [o for o in ours if o.type == "EMPTY" and not o.children]


def _items(scene: bpy.types.Scene) -> list[Any]:
    return list(scene.objects)


def remove_left_over(scene: bpy.types.Scene) -> str:
    """Delete that, and what was made with it; returns a sentence."""
    items: list[Any] = left_over(scene)
    copies = [item for item in items if is_upright(item)]
    for item in items:
        data: Any = item.animation_data
        parts = [item.data, *getattr(item.data, "materials", ()), data and data.action]
        if item in copies:
            remove_upright(scene, item)
        else:
            bpy.data.objects.remove(item)
        for part in parts:
            remove_unused(part)
    remove_empty_collections(scene)
    if not copies:
        return "Removed what turned upright copies of a sphere that is gone."
    told = "1 upright copy" if len(copies) == 1 else f"{len(copies)} upright copies"
    return f"Removed {told} of a sphere that is gone."
