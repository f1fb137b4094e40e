# SPDX-License-Identifier: GPL-3.0-or-later
"""An F-curve's keys as a `Curve` tells them, the same in every version from 4.2 to 5.2."""

from typing import Any

import numpy as np

# The integer codes that foreach_get gives.
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
# All fields of a Curve that `key_fields` may tell; those that it leaves out are as by default.
NAMES = (
    "action_frames",
    "values",
    "interpolation",
    "handle_left",
    "handle_right",
    "handle_types",
    "key_types",
    "cyclic",
    "extrapolation",
    "auto_smoothing",
    "cycles",
    "modifiers",
    "easing",
    *_EASED,
)


def key_fields(fcurve: Any) -> dict[str, Any]:
    """Fields of a Curve that its keys and modifiers fill; times are the action's."""
    keys = fcurve.keyframe_points
    place, left, right = (_pairs(keys, name) for name in ("co", "handle_left", "handle_right"))
    left_types, right_types = (
        _words(keys, f"handle_{side}_type", _HANDLES) for side in ("left", "right")
    )
    return {
        "action_frames": tuple(place[:, 0].tolist()),
        "values": tuple(place[:, 1].tolist()),
        "interpolation": _words(keys, "interpolation", _INTERPOLATION),
        "handle_left": tuple(map(tuple, left.tolist())),
        "handle_right": tuple(map(tuple, right.tolist())),
        "handle_types": tuple(zip(left_types, right_types, strict=True)),
        "key_types": _words(keys, "type", _KEY_TYPES),
        "cyclic": cycle_rounds(fcurve) > 0,
        "extrapolation": fcurve.extrapolation,
        "auto_smoothing": fcurve.auto_smoothing,
        "cycles": _cycles(fcurve),
        "modifiers": _others(fcurve),
        **_easings(keys),
    }


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


def _cycles(fcurve: Any) -> tuple[str, int, str, int] | None:
    """The cycles modifier, which is the first of its curve, where it plays without limits."""
    modifier = next(iter(fcurve.modifiers), None)
    if modifier is None or modifier.type != "CYCLES" or modifier.mute or _is_limited(modifier):
        return None
    before, after = modifier.mode_before, modifier.mode_after
    if {before, after} == {"NONE"}:
        return None
    return before, int(modifier.cycles_before), after, int(modifier.cycles_after)


def _is_limited(modifier: Any) -> bool:
    return bool(modifier.use_restricted_range or modifier.use_influence)


def _others(fcurve: Any) -> tuple[str, ...]:
    """Types of the modifiers that play and are not told as cycles."""
    return tuple(
        modifier.type
        for modifier in fcurve.modifiers
        if not modifier.mute and (modifier.type != "CYCLES" or _is_limited(modifier))
    )
