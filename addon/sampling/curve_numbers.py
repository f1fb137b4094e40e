# SPDX-License-Identifier: GPL-3.0-or-later
"""Curves as numbers: the same later on means that nobody changed their keys.

What is selected, open or shown in an editor is left out, as it moves nothing.
"""

from collections.abc import Iterator
from typing import Any

import numpy as np

# What Blender keeps of a key, as foreach_get gives it, with how many values each.
_PLACES = (("co", 2), ("handle_left", 2), ("handle_right", 2))
_CODES = ("interpolation", "easing", "handle_left_type", "handle_right_type", "type")
# What a key carries besides for interpolations that are eased by name, which have later codes.
_EASED, _BEZIER = ("back", "amplitude", "period"), 2
_FACES = frozenset(("active", "show_expanded", "name"))


def each_strip(strips: Any) -> Iterator[Any]:
    """Strips with those inside of them, muted ones as well."""
    for strip in strips:
        yield strip
        yield from each_strip(strip.strips)


def number_of(action: Any) -> int:
    """A number that tells of an action's keys, in whichever order its curves stand."""
    told: tuple[Any, ...] = ()
    if action.use_frame_range:  # else the others say nothing
        told = (action.use_cyclic, action.frame_start, action.frame_end)
    curves = sum(number_of_curve(slot, fcurve) for slot, fcurve in all_fcurves(action))
    return hash((told, curves))


def all_fcurves(action: Any) -> Iterator[tuple[int, Any]]:
    """All curves of an action with the number of their slot; before 4.4 there are none."""
    if not hasattr(action, "layers"):
        yield from ((0, fcurve) for fcurve in action.fcurves)
        return
    for layer in action.layers:
        for strip in layer.strips:
            for bag in getattr(strip, "channelbags", ()):
                yield from ((bag.slot_handle, fcurve) for fcurve in bag.fcurves)


def number_of_curve(slot: int, fcurve: Any) -> int:
    """A number that tells of a curve's keys and modifiers."""
    group = fcurve.group
    return hash(
        (
            slot,
            fcurve.data_path,
            fcurve.array_index,
            fcurve.mute or (group is not None and group.mute),
            fcurve.extrapolation,
            fcurve.auto_smoothing,
            *_keys_of(fcurve.keyframe_points),
            *(_settings(each) for each in fcurve.modifiers),
            _values(fcurve.sampled_points, "co", 2, np.float32),
        )
    )


def _keys_of(keys: Any) -> list[bytes]:
    if not len(keys):
        return []
    found = [_values(keys, name, width, np.float32) for name, width in _PLACES]
    found += [_values(keys, name, 1, np.int32) for name in _CODES]
    if np.frombuffer(found[len(_PLACES)], dtype=np.int32).max() > _BEZIER:
        found += [_values(keys, name, 1, np.float32) for name in _EASED]
    return found


def _values(points: Any, name: str, width: int, kind: Any) -> bytes:
    values = np.empty(width * len(points), dtype=kind)
    points.foreach_get(name, values)
    return values.tobytes()


def _settings(modifier: Any) -> tuple[Any, ...]:
    """All that a modifier is told."""
    found = []
    for each in modifier.bl_rna.properties:
        if (each.is_readonly and each.type != "COLLECTION") or each.identifier in _FACES:
            continue
        value = getattr(modifier, each.identifier)
        if each.type == "COLLECTION":  # the points of an envelope
            value = tuple((point.frame, point.min, point.max) for point in value)
        elif getattr(each, "is_array", False):
            value = tuple(value)
        found.append((each.identifier, value))
    return (modifier.type, *found)
