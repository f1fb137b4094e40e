# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the keys go: the active action of what is moved, or a new strip on top of all others.

The same is done to a copy, on which it is tried, and then to the rig itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import bpy

from ...sampling.curves import action_fcurves
from .control import Control
from .key_arrays import Keys, write_keys
from .push_down import lay, push_down

ACTION, STRIP = "ACTION", "STRIP"
# Frames of animation: what Blender takes for a strip's shortest length.
_SHORTEST = 0.1


@dataclass(frozen=True, eq=False)
class Home:
    """An action, with the slot that the rig plays of it (None before Blender 4.4), and the
    name of the strip that was made for it."""

    action: Any
    slot: Any
    strip: str = ""

    def curves(self, path: str) -> dict[int, Any]:
        """The curves of a channel that are there, by index."""
        found = action_fcurves(self.action, self.slot)
        return {each.array_index: each for each in found if each.data_path == path}

    def write(self, path: str, keys: Sequence[Keys], group: str) -> None:
        """Let a channel's curves have these keys and no others; made where they are not there."""
        for index, each in enumerate(keys):
            known = self.curves(path).get(index)
            write_keys(known or self._new_curve(path, index, group), each)

    def _new_curve(self, path: str, index: int, group: str) -> Any:
        holder = self.action if self.slot is None else _bag(self.action, self.slot)
        curve = holder.fcurves.new(path, index=index)
        known = [each for each in holder.groups if each.name == group]
        curve.group = known[0] if known else holder.groups.new(group)
        curve.color_mode = "AUTO_YRGB" if path.endswith("rotation_quaternion") else "AUTO_RGB"
        return curve


def make_home(
    rig: bpy.types.Object, control: Control, into: str, span: tuple[float, float], seen: Any
) -> Home:
    """Make room for keys over a span of frames of animation, which nothing fills so far.

    seen   (2,) frames of animation from the first to the last that anybody looks at
    """
    data = rig.animation_data_create()
    if into == ACTION:
        return _active(rig, data)
    push_down(data, seen)
    return _on_top(rig, data, control, span)


def _active(rig: bpy.types.Object, data: Any) -> Home:
    if data.action is None:
        data.action = bpy.data.actions.new(f"{rig.name}Action")
    if not hasattr(data, "action_slot"):  # actions got slots in 4.4
        return Home(data.action, None)
    if data.action_slot is None:
        data.action_slot = data.action.slots.new("OBJECT", rig.name)
    return Home(data.action, data.action_slot)


def _on_top(rig: bpy.types.Object, data: Any, control: Control, span: tuple[float, float]) -> Home:
    """A strip that plays over the span alone, so that all else stays as it is."""
    action = bpy.data.actions.new(f"{control.told} as the ball")
    name = action.name  # another one for each hand back
    slotted = hasattr(data, "action_slot")
    slot = action.slots.new("OBJECT", rig.name) if slotted else None
    track = data.nla_tracks.new()
    track.name = name
    strip = track.strips.new(name, int(span[0]), action)
    if slotted:
        strip.action_slot = slot
    strip.use_sync_length = strip.use_auto_blend = False
    # A strip has some length.
    lay(strip, span[0], max(span[1], span[0] + _SHORTEST))
    strip.blend_type, strip.extrapolation = "REPLACE", "NOTHING"
    return Home(action, slot, strip.name)


def _bag(action: Any, slot: Any) -> Any:
    layer = action.layers[0] if len(action.layers) else action.layers.new("Layer")
    strip = layer.strips[0] if len(layer.strips) else layer.strips.new(type="KEYFRAME")
    return strip.channelbag(slot, ensure=True)
