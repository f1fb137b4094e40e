# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys as plain data, the same from legacy, slotted and layered actions and from NLA strips.

Blender 4.2 and 4.3 keep curves on the action, 4.4 and later in a channel bag per slot;
5.0 removed the old place.
"""

import re
from collections.abc import Callable, Iterator
from typing import Any

import bpy

from ...analysis.curves import Curve
from .key_fields import cycle_rounds, key_fields
from .strip_weights import Table, arriving, own_influence
from .strips import Source, playing_sources, unread_strips

__all__ = [
    "action_fcurves",
    "bone_of",
    "cycle_rounds",
    "object_control",
    "playing_fcurves",
    "playing_sources",
    "read_curves",
    "unread_strips",
]

_BONE_PATH = re.compile(r'^pose\.bones\["((?:[^"\\]|\\.)*)"\]\.?(.*)$')
_AXES = {
    "location": "xyz",
    "scale": "xyz",
    "rotation_euler": "xyz",
    "rotation_quaternion": "wxyz",
    "rotation_axis_angle": "wxyz",
}


# What says the fields of a Curve that an F-curve's keys fill, as `key_fields` does.
Fields = Callable[[Any], dict[str, Any]]


def read_curves(
    owner: Any, *, stretch: float = 1.0, fields: Fields = key_fields
) -> tuple[Curve, ...]:
    """All keyed curves of an object that play: its active action, then its strips, bottom up.

    `stretch` is the scene's time remapping, scene frames for one frame of animation. `fields` tells
    of keys, where some are known.

    Left out is what does not play: muted curves, groups, strips and tracks, tracks beside a
    solo one, strips while the NLA is off, and curves of bones that are not there. Left out as
    well are strips with a keyed time of their own (`unread_strips` names them): on which frames
    their keys play is not worked out. A strip that repeats is read once, in its first round.
    Curves without keys (baked samples) carry no keys and are left out.
    """
    sources = list(playing_sources(owner))
    played = [
        [each for each in playing_fcurves(owner, source) if len(each.keyframe_points)]
        for source in sources
    ]
    layers = _Layers(sources, played, stretch, fields)
    return tuple(
        _curve(owner, fcurve, layers, n) for n, fcurves in enumerate(played) for fcurve in fcurves
    )


class _Layers:
    """What the sources of an object are to each other."""

    def __init__(
        self, sources: list[Source], played: list[list[Any]], stretch: float, fields: Fields
    ) -> None:
        self.sources, self.stretch, self.fields = sources, stretch, fields
        self._channels = [{_channel(each) for each in fcurves} for fcurves in played]
        self._tables: dict[Any, Table] = {}

    def told(self, n: int, fcurve: Any) -> dict[str, Any]:
        """Fields of a Curve that its source fills."""
        source, channel = self.sources[n], _channel(fcurve)
        others = tuple(channel in channels for channels in self._channels)
        if (n, others) not in self._tables:
            weight = arriving(self.sources, self._channels, n, channel)
            self._tables[n, others] = self._scaled(weight)
        if (n, None) not in self._tables:
            self._tables[n, None] = self._scaled(own_influence(source))
        repeats = source.rounds != 1.0
        return {
            "action": source.action.name,
            "strip": source.strip,
            "time_scale": self.stretch * source.scale,
            "blend": source.blend,
            "influence": self._tables[n, None],
            "weight": self._tables[n, others],
            "strip_frames": source.frames and tuple(self.stretch * f for f in source.frames),
            "extends": source.extends,
            "rounds": (source.rounds, self.stretch * source.round_frames) if repeats else None,
        }

    def _scaled(self, table: Table) -> Table:
        return tuple((self.stretch * frame, share) for frame, share in table)


def _channel(fcurve: Any) -> tuple[str, int]:
    return fcurve.data_path, fcurve.array_index


def playing_fcurves(owner: Any, source: Source) -> Iterator[Any]:
    """The F-curves of a source that have something to move and are not muted."""
    pose = getattr(owner, "pose", None)
    for fcurve in action_fcurves(source.action, source.slot):
        muted = fcurve.mute or (fcurve.group is not None and fcurve.group.mute)
        bone = bone_of(fcurve.data_path)
        if not muted and (bone is None or (pose and bone in pose.bones)):
            yield fcurve


def action_fcurves(action: Any, slot: Any) -> list[Any]:
    """The F-curves that an action holds for a slot, wherever this version keeps them.

    Where actions have slots, no slot means that nothing is animated.
    """
    if not hasattr(action, "layers"):
        return list(action.fcurves)
    if slot is None:
        return []
    bags = [
        strip.channelbag(slot)
        for layer in action.layers
        for strip in layer.strips
        if strip.type == "KEYFRAME"
    ]
    return [fcurve for bag in bags if bag is not None for fcurve in bag.fcurves]


def _curve(owner: Any, fcurve: Any, layers: _Layers, n: int) -> Curve:
    control, channel = _names(owner, fcurve.data_path, fcurve.array_index)
    source, fields = layers.sources[n], layers.fields(fcurve)
    times = (source.offset + frame * source.scale for frame in fields["action_frames"])
    return Curve(
        control=control,
        channel=channel,
        data_path=fcurve.data_path,
        index=fcurve.array_index,
        frames=tuple(layers.stretch * time for time in times),
        steps=_steps(owner, fcurve),
        rotation_mode=_rotation_mode(owner, fcurve.data_path),
        **fields,
        **layers.told(n, fcurve),
    )


def _names(owner: Any, data_path: str, index: int) -> tuple[str, str]:
    """Control and plain channel name: (`torso`, `location.z`) or (`torso`, `["IK_FK"]`)."""
    match = _BONE_PATH.match(data_path)
    control = bpy.utils.unescape_identifier(match[1]) if match else object_control(owner)
    path = match[2] if match else data_path
    axes = _AXES.get(path)
    if axes and index < len(axes):
        return control, f"{path}.{axes[index]}"
    return control, f"{path}[{index}]" if _is_array(owner, data_path) else path


def _rotation_mode(owner: Any, data_path: str) -> str:
    """The mode of the bone or object whose rotation a path is; empty for other channels."""
    path, _dot, name = data_path.rpartition(".")
    if not name.startswith("rotation_") or name == "rotation_mode":
        return ""
    turned = _resolved(owner, path) if path else owner
    return str(getattr(turned, "rotation_mode", ""))


def _steps(owner: Any, fcurve: Any) -> str:
    """Blender rounds curves of whole numbers, and holds switches and choices from key to key."""
    value = _resolved(owner, fcurve.data_path)
    if hasattr(value, "__len__") and not isinstance(value, str) and len(value):
        value = value[0]
    if isinstance(value, (bool, str)):
        return "HELD"
    return "WHOLE" if isinstance(value, int) else ""


def _is_array(owner: Any, data_path: str) -> bool:
    value = _resolved(owner, data_path)
    return hasattr(value, "__len__") and not isinstance(value, str)


def _resolved(owner: Any, data_path: str) -> Any:
    try:
        return owner.path_resolve(data_path)
    except ValueError:  # how Blender says that there is nothing at a path
        return None


def bone_of(data_path: str) -> str | None:
    """The bone whose channel a path is; None for a channel of the object itself."""
    match = _BONE_PATH.match(data_path)
    return bpy.utils.unescape_identifier(match[1]) if match else None


def object_control(owner: Any) -> str:
    """The object as a control; one that shares its name with a bone gets a mark."""
    pose = getattr(owner, "pose", None)
    shared = pose is not None and owner.name in pose.bones
    return f"{owner.name} (object)" if shared else str(owner.name)
