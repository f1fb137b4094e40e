# SPDX-License-Identifier: GPL-3.0-or-later
"""The cycles modifier: which moment of the keys plays beyond them, and what is added there."""

import numpy as np
from numpy.typing import NDArray

from ..curves import Curve

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# What a clip that only says that a curve repeats itself is taken for.
ON_AND_ON = ("REPEAT_OFFSET", 0, "REPEAT_OFFSET", 0)


def cycles_of(curve: Curve) -> tuple[str, int, str, int] | None:
    """The curve's cycles, or None where it plays once."""
    return curve.cycles or (ON_AND_ON if curve.cyclic else None)


def handles_know_it(curve: Curve) -> bool:
    """Whether automatic handles see over the seam: for repeats without an end on both sides."""
    cycles = cycles_of(curve)
    if cycles is None or cycles[1] or cycles[3]:
        return False
    return {cycles[0], cycles[2]} <= {"REPEAT", "REPEAT_OFFSET"}


def in_first_round(curve: Curve, times: Floats) -> tuple[Floats, Floats]:
    """For frames (N,) of the action: the frames between the keys that play there, and what is
    added to their values, (N,) both."""
    cycles, added = cycles_of(curve), np.zeros(times.shape)
    first, last = curve.action_frames[0], curve.action_frames[-1]
    if cycles is None or last <= first:
        return times, added
    inside = times.copy()
    for side, (mode, rounds) in ((-1, cycles[:2]), (1, cycles[2:])):
        here = times < first if side < 0 else times > last
        if mode == "NONE" or not here.any():
            continue
        if rounds:
            end = first if side < 0 else last
            here &= side * (times - end) / (last - first) <= rounds
        inside[here], number = _folded(times[here], first, last, side, mirror=mode == "MIRROR")
        if mode == "REPEAT_OFFSET":
            added[here] = number * (curve.values[-1] - curve.values[0])
    return inside, added


def _folded(
    times: Floats, first: float, last: float, side: int, *, mirror: bool
) -> tuple[Floats, Floats]:
    """Frames in the first round, and by how many rounds they were moved.

    A moment where two rounds meet belongs to the one that is nearer to the keys.
    """
    length = last - first
    past = side * (times - (first if side < 0 else last)) / length
    number = np.ceil(past)
    inside = times - side * number * length
    if mirror:
        inside = np.where(number % 2 == 1, first + last - inside, inside)
    return inside, side * number
