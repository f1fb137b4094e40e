# SPDX-License-Identifier: GPL-3.0-or-later
"""Which actions play frame by frame: what they are worth on a frame tells all of that frame.

Those in strips play at other times, and so do those that Action constraints read.
"""

from collections.abc import Collection
from typing import Any

import bpy


def play_directly(numbers: Collection[int]) -> bool:
    """Whether each of these actions is only the own action of blocks that have no strips."""
    actions = {each for each in bpy.data.actions if each.session_uid in numbers}
    if not actions:
        return True
    # The stubs declare all three arguments as required, which Blender does not.
    users = bpy.data.user_map(subset=actions)  # type: ignore[call-arg]
    return all(_is_own(user, action) for action in actions for user in users[action])


def _is_own(user: Any, action: bpy.types.Action) -> bool:
    data = getattr(user, "animation_data", None)
    if data is None or data.action != action or any(len(t.strips) for t in data.nla_tracks):
        return False
    return not any(_reads(stack, action) for stack in _stacks(user))


def _stacks(user: Any) -> list[Any]:
    pose = getattr(user, "pose", None)
    bones = () if pose is None else pose.bones
    return [getattr(user, "constraints", ()), *(bone.constraints for bone in bones)]


def _reads(stack: Any, action: bpy.types.Action) -> bool:
    return any(each.type == "ACTION" and each.action == action for each in stack)
