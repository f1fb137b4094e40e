# SPDX-License-Identifier: GPL-3.0-or-later
"""The ball as it is keyed now: its keys, and how each axis goes from key to key."""

from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ....analysis import PlumblineError
from ...sampling.curves import action_fcurves
from . import beziers
from .key_arrays import BEZIER, CONSTANT, LINEAR, Keys, read_keys

# Keys nearer to each other than this are on one frame, as in Blender.
SAME_FRAME = 1e-2
# A path that changes less than this from key to key stands still there, in Blender units.
_STILL = 1e-7


@dataclass(frozen=True, eq=False)
class Leg:
    """How one axis goes from one of the ball's keys to the next.

    way      what its first key says, see `Keys.segment`; None where a key alone cannot say it
    points   (4,2) the same as a Bezier segment; None where it is none
    moves    whether it goes anywhere
    """

    way: tuple[float, ...] | None
    points: Any
    moves: bool


@dataclass(frozen=True, eq=False)
class BallCurves:
    """Some channels of the ball, A of them: its place, or its turn.

    times (K,)   frames of animation on which at least one of them has a key
    kinds (K,)   Blender's codes of the kinds of these keys
    """

    curves: tuple[Any, ...]
    still: Any
    keys: tuple[Keys | None, ...]
    times: Any
    kinds: Any

    def at(self, times: Any) -> Any:
        """(N,A) values at times (N,), as Blender evaluates them."""
        found = np.tile(self.still, (len(times), 1))
        for axis, curve in enumerate(self.curves):
            if curve is not None:
                found[:, axis] = [curve.evaluate(float(time)) for time in times]
        return found

    def has_key(self, axis: int) -> Any:
        """(K,) on which of `times` an axis has a key of its own."""
        keys = self.keys[axis]
        if keys is None:
            return np.zeros(len(self.times), dtype=bool)
        return np.array([np.abs(keys.times - time).min() < SAME_FRAME for time in self.times])

    def leg(self, axis: int, first: float, last: float) -> Leg:
        """How an axis goes from one time to another, between which it has no key."""
        ends = self.at(np.array([first, last]))[:, axis]
        flat = beziers.straight((first, ends[0]), (last, ends[1]))
        keys = self.keys[axis]
        if keys is None:
            return Leg(None, flat, moves=False)
        before = int(np.searchsorted(keys.times, first + SAME_FRAME)) - 1
        if before < 0 or before + 1 >= len(keys):  # before its first key, or after its last
            return Leg(None, flat, moves=bool(abs(ends[1] - ends[0]) > _STILL))
        return _leg(keys, before, first, last, flat)


def _leg(keys: Keys, before: int, first: float, last: float, flat: Any) -> Leg:
    kind = int(keys.rest["interpolation"][before])
    whole = (
        abs(keys.times[before] - first) < SAME_FRAME
        and abs(keys.times[before + 1] - last) < SAME_FRAME
    )
    way = keys.segment(before) if whole or kind in (CONSTANT, LINEAR, BEZIER) else None
    if kind != BEZIER:
        return Leg(way, flat if kind == LINEAR else None, moves=bool(np.ptp(flat[:, 1]) > _STILL))
    places = keys.places
    points = beziers.limited(
        np.stack(
            (
                places["co"][before],
                places["handle_right"][before],
                places["handle_left"][before + 1],
                places["co"][before + 1],
            )
        )
    )
    if not whole:
        points = beziers.cut(points, first, last)
    return Leg(way, points, moves=bool(np.ptp(points[:, 1]) > _STILL))


def ball_curves(sphere: bpy.types.Object, path: str) -> BallCurves:
    """The curves of a property of the ball; raises PlumblineError where none has a key."""
    still = np.array(getattr(sphere, path), dtype=np.float64)
    data = sphere.animation_data
    action = data.action if data is not None else None
    curves: list[Any] = [None] * len(still)
    if action is not None:
        for curve in action_fcurves(action, getattr(data, "action_slot", None)):
            if curve.data_path == path and _plays(curve):
                curves[curve.array_index] = curve
    keys = tuple(None if curve is None else read_keys(curve) for curve in curves)
    times, kinds = _times(keys)
    if not len(times):
        raise PlumblineError(
            f"{sphere.name!r} has no {'rotation ' if 'rot' in path else ''}keys, expected "
            f"a ball that was baked{' with its rotation' if 'rot' in path else ''}: bake it first."
        )
    return BallCurves(tuple(curves), still, keys, times, kinds)


def _plays(curve: Any) -> bool:
    muted = curve.mute or (curve.group is not None and curve.group.mute)
    return not muted and len(curve.keyframe_points) > 0


def _times(keys: tuple[Keys | None, ...]) -> tuple[Any, Any]:
    there = [each for each in keys if each is not None]
    if not there:
        return np.zeros(0), np.zeros(0, dtype=np.int32)
    times = np.concatenate([each.times for each in there])
    kinds = np.concatenate([each.rest["type"] for each in there])
    order = np.argsort(times, kind="stable")
    times, kinds = times[order], kinds[order]
    first = np.concatenate(([True], np.diff(times) >= SAME_FRAME))
    return times[first], kinds[first]
