# SPDX-License-Identifier: GPL-3.0-or-later
"""The value of a curve on any frame, and how fast it goes through its keys.

Follows what Blender does (fcurve.cc, fmodifier.cc of 4.2 to 5.2): segments and extrapolation, then
the cycles modifier. Other curve modifiers are not played.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..curves import Curve
from .bezier import bezier, parameter_at
from .cycling import in_first_round
from .easings import KINDS, Way, eased
from .times import in_first_play, scale_of, to_action

Floats = NDArray[np.float64]

# A frame this near to a key is that key's (Blender's threshold, frames of the action).
ON_KEY = 1e-4
# Over which part of a frame the slope of an easing is measured.
_STEP = 1e-3
# A handle shorter than this share of its segment has no direction.
_NO_ARM = 1e-9


def values_at(curve: Curve, frames: Any) -> Floats:
    """(N,) values, in the channel's own unit, on scene frames (N,); needs one key or more.

    In a strip that repeats it is what plays then, beyond its ends what plays at them; how much of
    it arrives is not asked (`weights_at`). Raises ValueError for a curve without keys.
    """
    return _play(curve, to_action(curve, in_first_play(curve, frames)))


def slopes_at_key(curve: Curve, n: int) -> tuple[float, float]:
    """Values per scene frame just before and just after key n (scene time), as they are played.

    Of the first and the last key the slopes beyond them are those of what plays there.
    """
    before, after = _slope(curve, n, -1), _slope(curve, n, 1)
    scale = scale_of(curve)
    into, out = (before, after) if scale > 0.0 else (after, before)
    return into / scale, out / scale


def _play(curve: Curve, times: Floats) -> Floats:
    """(N,) values at frames of the action."""
    inside, added = in_first_round(curve, times)
    values = _keyed(curve, inside) + added
    return np.floor(values + 0.5) if curve.steps else values


def _keyed(curve: Curve, times: Floats) -> Floats:
    """(N,) what keys and extrapolation give."""
    x, y = np.array(curve.action_frames), np.array(curve.values)
    values = np.zeros(times.shape)
    first, last = times <= x[0], times >= x[-1]
    values[first] = _beyond(curve, times[first], 0)
    values[last & ~first] = _beyond(curve, times[last & ~first], -1)
    between = np.flatnonzero(~first & ~last)
    if len(between):
        at = np.searchsorted(x, times[between], side="right") - 1
        values[between] = _between(_segments(curve, at), times[between])
        for near in (at, at + 1):
            on = np.abs(times[between] - x[near]) <= ON_KEY
            values[between[on]] = y[near[on]]
    return values


def _beyond(curve: Curve, times: Floats, end: int) -> Floats:
    """(N,) before the first key (end 0) or after the last (end -1)."""
    return np.asarray(
        curve.values[end] + (times - curve.action_frames[end]) * _beyond_slope(curve, end)
    )


def _beyond_slope(curve: Curve, end: int) -> float:
    """The slope beyond an end, values a frame of the action."""
    kind = curve.interpolation[end]
    if curve.steps == "HELD" or kind == "CONSTANT" or curve.extrapolation != "LINEAR":
        return 0.0
    x, y = curve.action_frames[end], curve.values[end]
    if kind == "LINEAR":
        if len(curve.values) == 1:
            return 0.0
        neighbour = 1 if end == 0 else -2
        other = (curve.action_frames[neighbour], curve.values[neighbour])
    else:
        other = curve.handle_left[0] if end == 0 else curve.handle_right[-1]
    return (y - other[1]) / (x - other[0]) if x != other[0] else 0.0


@dataclass(frozen=True, eq=False)
class _Segments:
    """The segments that N moments lie in, all fields (N,): keys with handles, and what they say."""

    x0: Floats
    y0: Floats
    x1: Floats
    y1: Floats
    right: Floats
    left: Floats
    kinds: NDArray[np.str_]
    easings: NDArray[np.str_]
    back: Floats
    amplitude: Floats
    period: Floats


def _segments(curve: Curve, at: NDArray[np.int64]) -> _Segments:
    x, y = np.array(curve.action_frames), np.array(curve.values)
    count = len(x)
    kinds = ("CONSTANT",) * count if curve.steps == "HELD" else curve.interpolation
    told = {
        name: np.array(getattr(curve, name) or (0.0,) * count)[at]
        for name in ("back", "amplitude", "period")
    }
    return _Segments(
        x0=x[at],
        y0=y[at],
        x1=x[at + 1],
        y1=y[at + 1],
        right=np.array(curve.handle_right)[at],
        left=np.array(curve.handle_left)[at + 1],
        kinds=np.array(kinds)[at],
        easings=np.array(curve.easing or ("AUTO",) * count)[at],
        **told,
    )


def _between(each: _Segments, times: Floats) -> Floats:
    """(N,) values inside the segments."""
    length = np.where(each.x1 > each.x0, each.x1 - each.x0, 1.0)
    share, change = (times - each.x0) / length, each.y1 - each.y0
    values = each.y0.copy()  # what CONSTANT, and an interpolation that nobody knows, gives
    linear = each.kinds == "LINEAR"
    values[linear] += (change * share)[linear]
    curved = np.flatnonzero(each.kinds == "BEZIER")
    if len(curved):
        out, q, back, r = (arm[curved] for arm in _arms(each))
        u = parameter_at(share[curved], out, back)
        values[curved] = bezier(u, each.y0[curved], q, r, each.y1[curved])
    way = Way(share, length, change, each.back, each.amplitude, each.period)
    for kind in set(each.kinds.tolist()) & set(KINDS):
        for easing in set(each.easings[each.kinds == kind].tolist()):
            on = (each.kinds == kind) & (each.easings == easing)
            values[on] += eased(kind, easing, Way(*(item[on] for item in way)))
    return values


def _arms(each: _Segments) -> tuple[Floats, Floats, Floats, Floats]:
    """Shares of the segment that both handles reach, and their values, (N,) each.

    A handle that is longer than the segment is shortened to it, as Blender does it.
    """
    length = np.where(each.x1 > each.x0, each.x1 - each.x0, 1.0)
    found: list[Floats] = []
    for handle, x, y in ((each.right, each.x0, each.y0), (each.left, each.x1, each.y1)):
        reach = np.abs(handle[:, 0] - x) / length
        fits = 1.0 / np.maximum(reach, 1.0)
        found += [reach * fits, y + (handle[:, 1] - y) * fits]
    return found[0], found[1], found[2], found[3]


def _slope(curve: Curve, n: int, side: int) -> float:
    """Values a frame of the action just before (side -1) or after (1) key n."""
    n %= len(curve.values)
    segment = n - 1 if side < 0 else n
    if not 0 <= segment < len(curve.values) - 1:
        return _slope_beyond(curve, n, side)
    each = _segments(curve, np.array([segment]))
    kind, length = str(each.kinds[0]), float(each.x1[0] - each.x0[0])
    if kind == "CONSTANT" or length <= 0.0:
        return 0.0
    if kind == "LINEAR":
        return float(each.y1[0] - each.y0[0]) / length
    if kind != "BEZIER":
        return _measured(curve, n, side)
    out, q, back, r = (float(arm[0]) for arm in _arms(each))
    points = [(0.0, float(each.y0[0])), (out, q), (1.0 - back, r), (1.0, float(each.y1[0]))]
    return _end_slope(points if side > 0 else points[::-1]) / length


def _end_slope(points: list[tuple[float, float]]) -> float:
    """The tangent at a Bezier's first point: to the next control point that is elsewhere."""
    x, y = points[0]
    for other, value in points[1:]:
        if abs(other - x) > _NO_ARM:
            return (value - y) / (other - x)
    return 0.0


def _slope_beyond(curve: Curve, n: int, side: int) -> float:
    """Outside the keys: of the round that plays there, else of the extrapolation."""
    if curve.cyclic or curve.cycles:
        return _measured(curve, n, side)
    return _beyond_slope(curve, 0 if side < 0 else -1)


def _measured(curve: Curve, n: int, side: int) -> float:
    at = curve.action_frames[n]
    ends = _play(curve, np.array([at + side * _STEP, at + 2.0 * side * _STEP]))
    # Two steps away, so that a value that jumps at the key is no slope.
    return float(ends[1] - ends[0]) / (side * _STEP)
