# SPDX-License-Identifier: GPL-3.0-or-later
"""The keys of an F-curve as arrays: read at once, joined, written at once."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

# Blender's codes, of interpolation and of handles.
CONSTANT, LINEAR, BEZIER = 0, 1, 2
FREE, AUTO, VECTOR, ALIGNED, AUTO_CLAMPED = 0, 1, 2, 3, 4
SIDES = ("handle_left", "handle_right")
SET_BY_BLENDER = (AUTO, VECTOR, AUTO_CLAMPED)

_PLACES = ("co", "handle_left", "handle_right")
_CODES = ("interpolation", "easing", "type", "handle_left_type", "handle_right_type")
_NUMBERS = ("back", "amplitude", "period")
_FLAGS = ("select_control_point", "select_left_handle", "select_right_handle")
# How a segment goes: what its first key says.
_SEGMENT = ("interpolation", "easing", *_NUMBERS)


@dataclass(frozen=True, eq=False)
class Keys:
    """N keys, in time's order.

    places   co, handle_left, handle_right: (N,2) times and values
    rest     all else by its name in Blender, (N,): codes, numbers of easings, selection
    """

    places: dict[str, Any]
    rest: dict[str, Any]

    def __len__(self) -> int:
        return len(self.places["co"])

    @property
    def times(self) -> Any:
        """(N,) frames of animation."""
        return self.places["co"][:, 0]

    def picked(self, which: Any) -> "Keys":
        """Some of them, by a mask or by indices; copies."""
        places = {name: array[which].copy() for name, array in self.places.items()}
        return Keys(places, {name: array[which].copy() for name, array in self.rest.items()})

    def segment(self, at: int) -> tuple[float, ...]:
        """How the segment after a key goes: two of these are equal where it is the same way."""
        return tuple(float(self.rest[name][at]) for name in _SEGMENT)

    def set_segment(self, at: int, segment: tuple[float, ...]) -> None:
        """Let the segment after a key go as another does."""
        for name, value in zip(_SEGMENT, segment, strict=True):
            self.rest[name][at] = value


def read_keys(curve: Any) -> Keys:
    """All keys of an F-curve."""
    points = curve.keyframe_points
    count = len(points)
    places: dict[str, Any] = {}
    rest: dict[str, Any] = {}
    for name in _PLACES:
        flat = np.zeros(2 * count, dtype=np.float32)
        points.foreach_get(name, flat)
        places[name] = flat.reshape(-1, 2).astype(np.float64)
    for name in (*_CODES, *_NUMBERS, *_FLAGS):
        flat = np.zeros(count, dtype=_dtype(name))
        points.foreach_get(name, flat)
        rest[name] = flat
    return Keys(places, rest)


def write_keys(curve: Any, keys: Keys) -> None:
    """Let an F-curve have these keys and no others."""
    points = curve.keyframe_points
    points.clear()
    points.add(len(keys))
    for name in _PLACES:
        points.foreach_set(name, keys.places[name].astype(np.float32).ravel())
    for name, values in keys.rest.items():
        points.foreach_set(name, values)
    # This moves the keys in memory, so it comes last.
    curve.update()


def new_keys(times: Any, values: Any) -> Keys:
    """Linear keys on times (N,) with values (N,), their handles left to Blender."""
    count = len(times)
    co = np.stack((times, values), axis=1).astype(np.float64)
    rest = {name: np.zeros(count, dtype=_dtype(name)) for name in (*_CODES, *_NUMBERS, *_FLAGS)}
    rest["interpolation"][:] = LINEAR
    rest["handle_left_type"][:] = rest["handle_right_type"][:] = AUTO_CLAMPED
    # What Blender gives a key that is added.
    rest["back"][:], rest["amplitude"][:], rest["period"][:] = 1.70158, 0.8, 4.1
    return Keys({name: co.copy() for name in _PLACES}, rest)


def joined(*parts: Keys) -> Keys:
    """The keys of several, one after the other."""
    places = {
        name: np.concatenate([part.places[name] for part in parts]) for name in parts[0].places
    }
    rest = {name: np.concatenate([part.rest[name] for part in parts]) for name in parts[0].rest}
    return Keys(places, rest)


def with_codes(keys: Keys, **codes: Any) -> Keys:
    """The keys with other codes, each (N,) or one for all."""
    rest = dict(keys.rest)
    for name, value in codes.items():
        rest[name] = np.broadcast_to(np.asarray(value, dtype=np.int32), (len(keys),)).copy()
    return replace(keys, rest=rest)


def _dtype(name: str) -> Any:
    if name in _FLAGS:
        return np.bool_
    return np.float32 if name in _NUMBERS else np.int32
