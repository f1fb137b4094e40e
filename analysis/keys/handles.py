# SPDX-License-Identifier: GPL-3.0-or-later
"""Where Blender puts the handles of keys by itself, after any edit (curve.cc of 4.2 to 5.2)."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .bezier import AUTO_ARM

Floats = NDArray[np.float64]

AUTOMATIC = ("AUTO", "AUTO_CLAMPED")
# Without smoothing a handle is at most so many times as long as the one on the other side.
_MOST = 5.0
# Handles shorter than this give no direction to the other side.
_SHORT = 1e-5


@dataclass(eq=False)
class Handles:
    """K keys while their handles are found anew; arrays are changed in place.

    place, left, right (K,2)   frame of the action and value
    kinds       (K,) pairs of handle types
    settled     (K,) True where a key's handles are final, and smoothing has to go round them
    """

    place: Floats
    left: Floats
    right: Floats
    kinds: list[tuple[str, str]]
    settled: NDArray[np.bool_]

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
    last = len(keys.place) - 1
    np.minimum(keys.left[:, 0], keys.place[:, 0], out=keys.left[:, 0])
    np.maximum(keys.right[:, 0], keys.place[:, 0], out=keys.right[:, 0])
    around = cyclic and keys.is_auto(0) and keys.is_auto(last)
    travel = keys.place[last] - keys.place[0]
    for n in range(last + 1):
        before = keys.place[n - 1] if n else keys.place[last - 1] - travel if around else None
        after = keys.place[n + 1] if n < last else keys.place[1] + travel if around else None
        _set(keys, n, before, after, smooth=smooth)
        if n in (0, last) and flat_ends and not around and keys.is_auto(n):
            _lay_flat(keys, n)
        if n and keys.place[n - 1, 0] >= keys.place[n, 0]:
            keys.settled[n - 1 : n + 1] = True
    if around and keys.settled[[0, last]].any():
        _lay_flat(keys, 0)
        _lay_flat(keys, last)
    return around


def _lay_flat(keys: Handles, n: int) -> None:
    keys.left[n, 1] = keys.right[n, 1] = keys.place[n, 1]
    keys.settled[n] = True


def _set(
    keys: Handles, n: int, before: Floats | None, after: Floats | None, *, smooth: bool
) -> None:
    keys.settled[n] = False
    here = keys.place[n]
    # Beyond an end the curve is thought to go on straight.
    into = here - before if before is not None else after - here
    out = after - here if after is not None else into
    left, right = keys.kinds[n]
    if left in AUTOMATIC or right in AUTOMATIC:
        _set_automatic(keys, n, into, out, smooth=smooth)
        if before is not None and after is not None:
            _clamp(keys, n, float(before[1]), float(after[1]))
    if left == "VECTOR":
        keys.left[n] = here - into / 3.0
    if right == "VECTOR":
        keys.right[n] = here + out / 3.0
    if "ALIGNED" in (left, right) and "FREE" not in (left, right):
        _align(keys, n)


def _set_automatic(keys: Handles, n: int, into: Floats, out: Floats, *, smooth: bool) -> None:
    """Both neighbours' slopes added up, along which the handles lie."""
    gap_in, gap_out = float(into[0]) or 1.0, float(out[0]) or 1.0
    slope = into / gap_in + out / gap_out
    whole = 6.0 if smooth else AUTO_ARM * float(slope[0])
    if whole == 0.0:
        return
    if not smooth:
        gap_in = min(gap_in, _MOST * gap_out)
        gap_out = min(gap_out, _MOST * gap_in)
    left, right = keys.kinds[n]
    if left in AUTOMATIC:
        keys.left[n] = keys.place[n] - slope * gap_in / whole
    if right in AUTOMATIC:
        keys.right[n] = keys.place[n] + slope * gap_out / whole


def _clamp(keys: Handles, n: int, before: float, after: float) -> None:
    """Clamped handles lie flat at extremes, and else stay between the neighbours' values."""
    x, y = keys.place[n]
    left, right = (kind == "AUTO_CLAMPED" for kind in keys.kinds[n])
    if not (left or right):
        return
    if (before <= y and after <= y) or (before >= y and after >= y):
        if left:
            keys.left[n, 1] = y
        if right:
            keys.right[n, 1] = y
        keys.settled[n] = True
        return
    rising = before <= y
    beyond = before > keys.left[n, 1] if rising else before < keys.left[n, 1]
    cut_left = left and beyond
    beyond = after < keys.right[n, 1] if rising else after > keys.right[n, 1]
    cut_right = right and beyond
    if cut_left:
        keys.left[n, 1] = before
    if cut_right:
        keys.right[n, 1] = after
    arm_in, arm_out = keys.left[n, 0] - x, x - keys.right[n, 0]
    if cut_left and arm_in:
        keys.right[n, 1] = y + (y - keys.left[n, 1]) / arm_in * arm_out
    elif cut_right and arm_out:
        keys.left[n, 1] = y + (y - keys.right[n, 1]) / arm_out * arm_in


def _align(keys: Handles, n: int) -> None:
    """Aligned handles point away from each other; of two the left one leads."""
    here, (left, right) = keys.place[n], keys.kinds[n]
    into, out = keys.left[n] - here, keys.right[n] - here
    long_in, long_out = float(np.hypot(*into)) or 1.0, float(np.hypot(*out)) or 1.0
    if right == "ALIGNED" and long_in > _SHORT:
        keys.right[n] = here - into * (long_out / long_in)
    if left == "ALIGNED" and long_out > _SHORT:
        keys.left[n] = here - (keys.right[n] - here) * (long_in / long_out)
