# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys as plain data, the same from legacy, slotted and layered actions and from NLA strips.

Blender 4.2 and 4.3 keep curves on the action, 4.4 and later in a channel bag per slot;
5.0 removed the old place.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...analysis.curves import Curve

# The integer codes that foreach_get gives, the same in every version from 4.2 to 5.2.
_INTERPOLATION = (
    "CONSTANT",
    "LINEAR",
    "BEZIER",
    "BACK",
    "BOUNCE",
    "CIRC",
    "CUBIC",
    "ELASTIC",
    "EXPO",
    "QUAD",
    "QUART",
    "QUINT",
    "SINE",
)
_KEY_TYPES = ("KEYFRAME", "EXTREME", "BREAKDOWN", "JITTER", "MOVING_HOLD", "GENERATED")
_HANDLES = ("FREE", "AUTO", "VECTOR", "ALIGNED", "AUTO_CLAMPED")
_EASINGS = ("AUTO", "EASE_IN", "EASE_OUT", "EASE_IN_OUT")
# What a key carries besides for interpolations that are eased by name.
_EASED = ("back", "amplitude", "period")
_BONE_PATH = re.compile(r'^pose\.bones\["((?:[^"\\]|\\.)*)"\]\.?(.*)$')
_AXES = {
    "location": "xyz",
    "scale": "xyz",
    "rotation_euler": "xyz",
    "rotation_quaternion": "wxyz",
    "rotation_axis_angle": "wxyz",
}


@dataclass(frozen=True)
class Source:
    """An action that plays, with its time mapping: animation time = offset + action * scale."""

    action: Any
    slot: Any
    strip: str | None
    offset: float = 0.0
    scale: float = 1.0


def read_curves(owner: bpy.types.Object, *, stretch: float = 1.0) -> tuple[Curve, ...]:
    """All keyed curves of an object that play: its active action, then its strips, bottom up.

    `stretch` is the scene's time remapping, scene frames for one frame of animation.

    Left out is what does not play: muted curves, groups, strips and tracks, tracks beside a
    solo one, strips while the NLA is off, and curves of bones that are not there. Left out as
    well are strips inside meta strips and strips with a keyed time of their own: on which frames
    their keys play is not worked out. A strip that repeats is read once, in its first round.
    Curves without keys (baked samples) carry no keys and are left out.
    """
    return tuple(
        _curve(owner, source, fcurve, stretch)
        for source in playing_sources(owner)
        for fcurve in playing_fcurves(owner, source)
        if len(fcurve.keyframe_points)
    )


def playing_fcurves(owner: Any, source: Source) -> Iterator[Any]:
    """The F-curves of a source that have something to move and are not muted."""
    for fcurve in action_fcurves(source.action, source.slot):
        muted = fcurve.mute or (fcurve.group is not None and fcurve.group.mute)
        bone = bone_of(fcurve.data_path)
        if not muted and (bone is None or (owner.pose and bone in owner.pose.bones)):
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


def playing_sources(owner: Any) -> Iterator[Source]:
    """The active action and the strips that play, as Blender mixes them.

    A solo track silences the active action too. While a strip is tweaked, its action is the
    active one, played in the strip's time, and the tracks above it rest.
    """
    data = owner.animation_data
    if data is None:
        return
    tracks = list(data.nla_tracks) if data.use_nla else []
    solo = [track for track in tracks if track.is_solo]
    tweaked = data.use_tweak_mode and data.nla_tracks.active in tracks
    if data.action is not None and not solo and not tweaked:
        yield Source(data.action, getattr(data, "action_slot", None), None)
    if tweaked:
        tracks = tracks[: tracks.index(data.nla_tracks.active) + 1]
    for track in solo or [track for track in tracks if not track.mute]:
        for strip in track.strips:
            if strip.action is not None and not strip.mute and not strip.use_animated_time:
                yield _strip_source(strip)


def _strip_source(strip: Any) -> Source:
    scale = float(strip.scale)
    if strip.use_reverse:
        start = float(strip.frame_start) + float(strip.action_frame_end) * scale
        return Source(strip.action, getattr(strip, "action_slot", None), strip.name, start, -scale)
    start = float(strip.frame_start) - float(strip.action_frame_start) * scale
    return Source(strip.action, getattr(strip, "action_slot", None), strip.name, start, scale)


def _curve(owner: Any, source: Source, fcurve: Any, stretch: float) -> Curve:
    keys = fcurve.keyframe_points
    place, left, right = (_pairs(keys, name) for name in ("co", "handle_left", "handle_right"))
    left_types, right_types = (
        _words(keys, f"handle_{side}_type", _HANDLES) for side in ("left", "right")
    )
    control, channel = _names(owner, fcurve.data_path, fcurve.array_index)
    return Curve(
        control=control,
        channel=channel,
        data_path=fcurve.data_path,
        index=fcurve.array_index,
        action=source.action.name,
        strip=source.strip,
        frames=tuple((stretch * (source.offset + place[:, 0] * source.scale)).tolist()),
        action_frames=tuple(place[:, 0].tolist()),
        values=tuple(place[:, 1].tolist()),
        interpolation=_words(keys, "interpolation", _INTERPOLATION),
        handle_left=tuple(map(tuple, left.tolist())),
        handle_right=tuple(map(tuple, right.tolist())),
        handle_types=tuple(zip(left_types, right_types, strict=True)),
        key_types=_words(keys, "type", _KEY_TYPES),
        cyclic=cycle_rounds(fcurve) > 0,
        extrapolation=fcurve.extrapolation,
        auto_smoothing=fcurve.auto_smoothing,
        cycles=cycles(fcurve),
        time_scale=stretch * source.scale,
        **_easings(keys),
    )


def _easings(keys: Any) -> dict[str, Any]:
    """What keys say of named easings; nothing where none has one."""
    if set(_words(keys, "interpolation", _INTERPOLATION)) <= {"CONSTANT", "LINEAR", "BEZIER"}:
        return {}
    found: dict[str, Any] = {"easing": _words(keys, "easing", _EASINGS)}
    for name in _EASED:
        values = np.zeros(len(keys), dtype=np.float32)
        keys.foreach_get(name, values)
        found[name] = tuple(values.tolist())
    return found


def _pairs(keys: Any, name: str) -> Any:
    values = np.zeros(2 * len(keys), dtype=np.float32)
    keys.foreach_get(name, values)
    return values.reshape(-1, 2).astype(np.float64)


def _words(keys: Any, name: str, words: tuple[str, ...]) -> tuple[str, ...]:
    """One word a key, from the codes that Blender keeps."""
    codes = np.zeros(len(keys), dtype=np.int32)
    keys.foreach_get(name, codes)
    return tuple(words[code] for code in codes.tolist())


def _names(owner: Any, data_path: str, index: int) -> tuple[str, str]:
    """Control and plain channel name: (`torso`, `location.z`) or (`torso`, `["IK_FK"]`)."""
    match = _BONE_PATH.match(data_path)
    control = bpy.utils.unescape_identifier(match[1]) if match else object_control(owner)
    path = match[2] if match else data_path
    axes = _AXES.get(path)
    if axes and index < len(axes):
        return control, f"{path}.{axes[index]}"
    return control, f"{path}[{index}]" if _is_array(owner, data_path) else path


def _is_array(owner: Any, data_path: str) -> bool:
    try:
        value = owner.path_resolve(data_path)
    except ValueError:  # how Blender says that there is nothing at a path
        return False
    return hasattr(value, "__len__") and not isinstance(value, str)


def bone_of(data_path: str) -> str | None:
    """The bone whose channel a path is; None for a channel of the object itself."""
    match = _BONE_PATH.match(data_path)
    return bpy.utils.unescape_identifier(match[1]) if match else None


def object_control(owner: Any) -> str:
    """The object as a control; one that shares its name with a bone gets a mark."""
    shared = owner.pose is not None and owner.name in owner.pose.bones
    return f"{owner.name} (object)" if shared else str(owner.name)


def cycle_rounds(fcurve: Any) -> int:
    """How many spans of its keys a curve plays before it repeats; 0 where it does not.

    Mirrored, it plays forth and back.
    """
    for modifier in fcurve.modifiers:
        if modifier.type == "CYCLES" and not modifier.mute:
            modes = {modifier.mode_before, modifier.mode_after} - {"NONE"}
            if modes:
                return 2 if "MIRROR" in modes else 1
    return 0


def cycles(fcurve: Any) -> tuple[str, int, str, int] | None:
    """The curve's cycles modifier as a Curve tells it; None where it has none that plays."""
    modifier = next(iter(fcurve.modifiers), None)
    if modifier is None or modifier.type != "CYCLES" or modifier.mute:
        return None
    before, after = modifier.mode_before, modifier.mode_after
    if {before, after} == {"NONE"}:
        return None
    return before, int(modifier.cycles_before), after, int(modifier.cycles_after)
