# SPDX-License-Identifier: GPL-3.0-or-later
"""Where Blender puts the handles of keys by itself, after any edit (curve.cc of 4.2 to 5.2)."""

import math
from dataclasses import dataclass

from .bezier import AUTO_ARM

AUTOMATIC = ("AUTO", "AUTO_CLAMPED")
# Without smoothing a handle is at most so many times as long as the one on the other side.
_MOST = 5.0
# Handles shorter than this give no direction to the other side.
_SHORT = 1e-5


@dataclass(eq=False)
class Handles:
    """K keys while their handles are found anew; lists of plain numbers, changed in place.

    x, y        frames of the action and values of the keys
    left, right   (K,) their handles, each [frame, value]
    kinds       (K,) pairs of handle types
    settled     (K,) True where a key's handles are final, and smoothing has to go round them
    """

    x: list[float]
    y: list[float]
    left: list[list[float]]
    right: list[list[float]]
    kinds: list[tuple[str, str]]
    settled: list[bool]

    def is_auto(self, n: int) -> bool:
        """Whether both handles of a key are automatic."""
        return self.kinds[n][0] in AUTOMATIC and self.kinds[n][1] in AUTOMATIC

    def clamps(self, n: int) -> bool:
        """Whether a key holds its handles between its neighbours' values."""
        return "AUTO_CLAMPED" in self.kinds[n]


def set_handles(keys: Handles, *, smooth: bool, flat_ends: bool, cyclic: bool) -> bool:
    """Set each key's handles from its neighbours; returns whether handles see over the seam.

    smooth      handles reach a third of the way, for continuous acceleration
    flat_ends   the curve is held beyond its keys, and automatic handles of its ends lie flat
    cyclic      the curve repeats on both sides without an end
    """
    last = len(keys.x) - 1
    around = cyclic and keys.is_auto(0) and keys.is_auto(last)
    for n, x in enumerate(keys.x):
        keys.left[n][0], keys.right[n][0] = min(keys.left[n][0], x), max(keys.right[n][0], x)
    for n in range(last + 1):
        _set(keys, n, *_steps(keys, n, around=around), smooth=smooth)
        if n in (0, last) and flat_ends and not around and keys.is_auto(n):
            _lay_flat(keys, n)
        if n and keys.x[n - 1] >= keys.x[n]:
            keys.settled[n - 1] = keys.settled[n] = True
    if around and (keys.settled[0] or keys.settled[last]):
        _lay_flat(keys, 0)
        _lay_flat(keys, last)
    return around


_Step = tuple[float, float]


def _steps(keys: Handles, n: int, *, around: bool) -> tuple[_Step | None, _Step | None]:
    """Frames and values from the key before and to the key after; None beyond an end."""
    last = len(keys.x) - 1
    before, after = n, n + 1
    if around and n == 0:
        before = last
    if around and n == last:
        after = 1
    into = (keys.x[before] - keys.x[before - 1], keys.y[before] - keys.y[before - 1])
    if after > last:
        return into, None
    out = (keys.x[after] - keys.x[after - 1], keys.y[after] - keys.y[after - 1])
    return (None if before == 0 else into), out


def _lay_flat(keys: Handles, n: int) -> None:
    keys.left[n][1] = keys.right[n][1] = keys.y[n]
    keys.settled[n] = True


def _set(keys: Handles, n: int, before: _Step | None, after: _Step | None, *, smooth: bool) -> None:
    keys.settled[n] = False
    # Beyond an end the curve is thought to go on straight.
    into = before or after or (0.0, 0.0)
    out = after or into
    x, y, (left, right) = keys.x[n], keys.y[n], keys.kinds[n]
    if left in AUTOMATIC or right in AUTOMATIC:
        _set_automatic(keys, n, into, out, smooth=smooth)
        if before is not None and after is not None:
            _clamp(keys, n, y - into[1], y + out[1])
    if left == "VECTOR":
        keys.left[n] = [x - into[0] / 3.0, y - into[1] / 3.0]
    if right == "VECTOR":
        keys.right[n] = [x + out[0] / 3.0, y + out[1] / 3.0]
    if "ALIGNED" in (left, right) and "FREE" not in (left, right):
        _align(keys, n)


def _set_automatic(keys: Handles, n: int, into: _Step, out: _Step, *, smooth: bool) -> None:
    """Both neighbours' slopes added up, along which the handles lie."""
    gap_in, gap_out = into[0] or 1.0, out[0] or 1.0
    along, slope = into[0] / gap_in + out[0] / gap_out, into[1] / gap_in + out[1] / gap_out
    whole = 6.0 if smooth else AUTO_ARM * along
    if whole == 0.0:
        return
    if not smooth:
        gap_in = min(gap_in, _MOST * gap_out)
        gap_out = min(gap_out, _MOST * gap_in)
    x, y, (left, right) = keys.x[n], keys.y[n], keys.kinds[n]
    if left in AUTOMATIC:
        keys.left[n] = [x - along * gap_in / whole, y - slope * gap_in / whole]
    if right in AUTOMATIC:
        keys.right[n] = [x + along * gap_out / whole, y + slope * gap_out / whole]


def _clamp(keys: Handles, n: int, before: float, after: float) -> None:
    """Clamped handles lie flat at extremes, and else stay between the neighbours' values."""
    x, y, into, out = keys.x[n], keys.y[n], keys.left[n], keys.right[n]
    left, right = (kind == "AUTO_CLAMPED" for kind in keys.kinds[n])
    if not (left or right):
        return
    if (before <= y and after <= y) or (before >= y and after >= y):
        if left:
            into[1] = y
        if right:
            out[1] = y
        keys.settled[n] = True
        return
    rising = before <= y
    cut_left = left and (before > into[1] if rising else before < into[1])
    cut_right = right and (after < out[1] if rising else after > out[1])
    if cut_left:
        into[1] = before
    if cut_right:
        out[1] = after
    arm_in, arm_out = into[0] - x, x - out[0]
    if cut_left and arm_in:
        out[1] = y + (y - into[1]) / arm_in * arm_out
    elif cut_right and arm_out:
        into[1] = y + (y - out[1]) / arm_out * arm_in


def _align(keys: Handles, n: int) -> None:
    """Aligned handles point away from each other; of two the left one leads."""
    left, right = keys.kinds[n]
    long_in, long_out = arm_length(keys, keys.left, n), arm_length(keys, keys.right, n)
    share = (long_in or 1.0) / (long_out or 1.0)
    if right == "ALIGNED" and long_in > _SHORT:
        turn_away(keys, keys.left, keys.right, n, 1.0 / share)
    if left == "ALIGNED" and long_out > _SHORT:
        turn_away(keys, keys.right, keys.left, n, share)


def arm_length(keys: Handles, side: list[list[float]], n: int) -> float:
    """How far a handle is from its key, frames and values taken as one."""
    return math.hypot(side[n][0] - keys.x[n], side[n][1] - keys.y[n])


def turn_away(
    keys: Handles, lead: list[list[float]], side: list[list[float]], n: int, share: float
) -> None:
    """Let a handle point away from the one that leads, and be `share` times as long."""
    x, y = keys.x[n], keys.y[n]
    side[n] = [x - (lead[n][0] - x) * share, y - (lead[n][1] - y) * share]
