# SPDX-License-Identifier: GPL-3.0-or-later
"""What the signals stand on: an empty in a collection of its own, found by a custom property."""

from typing import Any

import bpy

# On the empty, its action and its collection: the full name of the rig that was measured.
SIGNALS_OF = "plumbline_signals_of"
NAME = "Plumbline signals"


def is_signals(block: Any) -> bool:
    """Whether a block is the signals' empty, its action or its collection, or a copy of such."""
    return SIGNALS_OF in block


def holders() -> list[bpy.types.Object]:
    """All empties of signals in the open file, by name; there is one, unless copies were made."""
    return [item for item in bpy.data.objects if is_signals(item) and not item.library]


def holder_in(scene: bpy.types.Scene) -> bpy.types.Object | None:
    """The empty of signals in a scene, or None."""
    return next((item for item in scene.objects if is_signals(item) and not item.library), None)


def make_holder(scene: bpy.types.Scene, rig: bpy.types.Object) -> bpy.types.Object:
    """An empty for signals where the rig stands, as small as nothing; never rendered, and not to be
    selected: it is pinned, so that the Graph Editor lists it in Pose Mode as well, where it shows
    what is posed alone.
    """
    item = bpy.data.objects.new(NAME, None)
    group = bpy.data.collections.new(NAME)
    for block in (item, group):
        block[SIGNALS_OF] = rig.name_full
        block.hide_render = True
    item.empty_display_size = 1e-4
    item.location = rig.matrix_world.translation
    item.hide_select = True
    item.animation_data_create().use_pin = True
    scene.collection.children.link(group)
    group.objects.link(item)
    return item


def blocks_of_signals() -> list[Any]:
    """All that is ours of signals in the open file, where users have deleted the empty as well."""
    owners: tuple[Any, ...] = (bpy.data.objects, bpy.data.actions, bpy.data.collections)
    return [each for blocks in owners for each in blocks if is_signals(each) and not each.library]


def remove_holders() -> int:
    """Delete all that is ours of signals in the open file; returns how many empties there were."""
    count, blocks = len(holders()), blocks_of_signals()
    if blocks:
        bpy.data.batch_remove(blocks)
    return count
