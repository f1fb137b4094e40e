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
_HANDLES = ("FREE", "AUTO", "VECTOR", "ALIGNED", "AUTO_CLAMPED")
_BONE_PATH = re.compile(r'^pose\.bones\["((?:[^"\\]|\\.)*)"\]\.?(.*)$')
_AXES = {
    "location": "xyz",
    "scale": "xyz",
    "rotation_euler": "xyz",
    "rotation_quaternion": "wxyz",
    "rotation_axis_angle": "wxyz",
}

# How many frames longer than whole rounds a range may be and still play as a loop.
REPEATS_S, LEAST_REPEATS = 0.25, 3


@dataclass(frozen=True)
class _Source:
    """An action with the time mapping that plays it: scene = offset + action * scale."""

    action: Any
    slot: Any
    strip: str | None
    offset: float = 0.0
    scale: float = 1.0


def read_curves(owner: bpy.types.Object) -> tuple[Curve, ...]:
    """All keyed curves of an object: its active action, then its NLA strips, bottom up.

    Muted tracks and strips are left out. A strip that repeats is read once, in its first
    round. Curves without keys (baked samples) carry no keys and are left out.
    """
    return tuple(
        _curve(owner, source, fcurve)
        for source in _sources(owner)
        for fcurve in action_fcurves(source.action, source.slot)
        if len(fcurve.keyframe_points)
    )


def action_fcurves(action: Any, slot: Any) -> list[Any]:
    """The F-curves that an action holds for a slot, wherever this version keeps them."""
    if not hasattr(action, "layers") or (slot is None and hasattr(action, "fcurves")):
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


def _sources(owner: Any) -> Iterator[_Source]:
    data = owner.animation_data
    if data is None:
        return
    if data.action is not None:
        yield _Source(data.action, getattr(data, "action_slot", None), None)
    for track in data.nla_tracks:
        for strip in track.strips:
            if not track.mute and not strip.mute and strip.action is not None:
                yield _strip_source(strip)


def _strip_source(strip: Any) -> _Source:
    scale = float(strip.scale)
    if strip.use_reverse:
        start = float(strip.frame_start) + float(strip.action_frame_end) * scale
        return _Source(strip.action, getattr(strip, "action_slot", None), strip.name, start, -scale)
    start = float(strip.frame_start) - float(strip.action_frame_start) * scale
    return _Source(strip.action, getattr(strip, "action_slot", None), strip.name, start, scale)


def _curve(owner: Any, source: _Source, fcurve: Any) -> Curve:
    keys = fcurve.keyframe_points
    place, left, right = (_pairs(keys, name) for name in ("co", "handle_left", "handle_right"))
    left_types, right_types = (_codes(keys, f"handle_{side}_type") for side in ("left", "right"))
    control, channel = _names(owner, fcurve.data_path, fcurve.array_index)
    return Curve(
        control=control,
        channel=channel,
        data_path=fcurve.data_path,
        index=fcurve.array_index,
        action=source.action.name,
        strip=source.strip,
        frames=tuple((source.offset + place[:, 0] * source.scale).tolist()),
        action_frames=tuple(place[:, 0].tolist()),
        values=tuple(place[:, 1].tolist()),
        interpolation=tuple(_INTERPOLATION[code] for code in _codes(keys, "interpolation")),
        handle_left=tuple((float(x), float(y)) for x, y in left),
        handle_right=tuple((float(x), float(y)) for x, y in right),
        handle_types=tuple(
            (_HANDLES[a], _HANDLES[b]) for a, b in zip(left_types, right_types, strict=True)
        ),
        key_types=tuple(key.type for key in keys),
        cyclic=_is_cyclic(fcurve),
    )


def _pairs(keys: Any, name: str) -> Any:
    values = np.zeros(2 * len(keys), dtype=np.float32)
    keys.foreach_get(name, values)
    return values.reshape(-1, 2).astype(np.float64)


def _codes(keys: Any, name: str) -> list[int]:
    values = np.zeros(len(keys), dtype=np.int32)
    keys.foreach_get(name, values)
    return [int(code) for code in values]


def _names(owner: Any, data_path: str, index: int) -> tuple[str, str]:
    """Control and plain channel name: (`torso`, `location.z`) or (`torso`, `["IK_FK"]`)."""
    match = _BONE_PATH.match(data_path)
    control = bpy.utils.unescape_identifier(match[1]) if match else owner.name
    path = match[2] if match else data_path
    axes = _AXES.get(path)
    return control, f"{path}.{axes[index]}" if axes and index < len(axes) else path


def _is_cyclic(fcurve: Any) -> bool:
    return any(
        modifier.type == "CYCLES"
        and not modifier.mute
        and (modifier.mode_before != "NONE" or modifier.mode_after != "NONE")
        for modifier in fcurve.modifiers
    )


def plays_as_cycle(
    owner: Any, curves: tuple[Curve, ...], first: int, last: int, *, fps: float
) -> bool | None:
    """True where the curves are cyclic and the range holds whole rounds of them; else None.

    A range that is a few frames longer than whole rounds (up to a quarter of a second, three
    frames or more, and a third of a round at most) still plays as a loop: those frames are
    repeats. Curves that do not say so leave the question open.
    """
    keyed = [curve for curve in curves if len(curve.frames) > 1 and curve.strip is None]
    if not keyed:
        return None
    cyclic = [curve for curve in keyed if curve.cyclic]
    action = owner.animation_data.action if owner.animation_data else None
    declared = action is not None and action.use_frame_range and action.use_cyclic
    if declared:
        period = round(action.frame_end - action.frame_start)
    elif 2 * len(cyclic) >= len(keyed):
        spans = sorted(curve.frames[-1] - curve.frames[0] for curve in cyclic)
        period = round(spans[len(spans) // 2])
    else:
        return None
    length = last - first + 1
    if period <= 1 or length < period:
        return None
    most = min(max(round(REPEATS_S * fps), LEAST_REPEATS), max(period // 3, 1))
    return True if length % period <= most else None
