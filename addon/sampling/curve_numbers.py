# SPDX-License-Identifier: GPL-3.0-or-later
"""Curves as numbers: the same later on means that nobody changed their keys.

What is selected, open or shown in an editor is left out, as it moves nothing.
"""

from collections.abc import Iterable, Iterator
from typing import Any

import numpy as np

# What Blender keeps of a key, as foreach_get gives it: two numbers each, and one code each.
_PLACES = ("co", "handle_left", "handle_right")
_CODES = ("interpolation", "easing", "handle_left_type", "handle_right_type", "type")
# What a key carries besides for interpolations that are eased by name, which have later codes.
_EASED, _BEZIER = ("back", "amplitude", "period"), 2
_FACES = frozenset(("active", "show_expanded", "name"))


def each_strip(strips: Any) -> Iterator[Any]:
    """Strips with those inside of them, muted ones as well."""
    for strip in strips:
        yield strip
        yield from each_strip(strip.strips)


def numbers_of_curves(action: Any) -> tuple[int, ...]:
    """What tells of the keys of each of an action's curves, in the order of `all_fcurves`."""
    return tuple(number_of_curve(slot, fcurve) for slot, fcurve in all_fcurves(action))


def number_of(action: Any, curves: Iterable[int]) -> int:
    """A number that tells of an action's keys, in whichever order its curves stand.

    curves  `numbers_of_curves`
    """
    told: tuple[Any, ...] = ()
    if action.use_frame_range:  # else the others say nothing
        told = (action.use_cyclic, action.frame_start, action.frame_end)
    return hash((told, sum(curves)))


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
    return hash(told_of_curve(slot, fcurve))


def told_of_curve(slot: int, fcurve: Any) -> tuple[Any, ...]:
    """A curve's keys and modifiers in plain values."""
    group = fcurve.group
    return (
        slot,
        fcurve.data_path,
        fcurve.array_index,
        fcurve.mute or (group is not None and group.mute),
        fcurve.extrapolation,
        fcurve.auto_smoothing,
        *_keys_of(fcurve.keyframe_points),
        *(_settings(each) for each in fcurve.modifiers),
        _values(fcurve.sampled_points, "co", 2),
    )


def _keys_of(keys: Any) -> list[bytes]:
    count = len(keys)
    if not count:
        return []
    # Rigs have many short curves: what one read costs besides its values counts.
    places = np.empty((len(_PLACES), 2 * count), dtype=np.float32)
    for n, name in enumerate(_PLACES):
        keys.foreach_get(name, places[n])
    codes = np.empty((len(_CODES), count), dtype=np.int32)
    for n, name in enumerate(_CODES):
        keys.foreach_get(name, codes[n])
    found = [places.tobytes(), codes.tobytes()]
    if codes[0].max() > _BEZIER:
        found += [_values(keys, name, 1) for name in _EASED]
    return found


def _values(points: Any, name: str, width: int) -> bytes:
    count = len(points)
    if not count:
        return b""
    values = np.empty(width * count, dtype=np.float32)
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
