# SPDX-License-Identifier: GPL-3.0-or-later
"""What can be mended at one key of one group, and what its curves would be then."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..curves import Curve
from ..keys import eased_to, slopes_at_key, smoothed, with_frame, with_value
from .groups import CORNERS, Group
from .switches import AT_ONCE_FRAMES, LEVEL, is_held, is_switched

Floats = NDArray[np.float64]

# Kinds of repairs; the first four say by the curves alone that something is wrong.
SMOOTH, UNWIND, SPREAD, RETIME = "smooth", "unwind", "spread", "retime"
VALUE, SUGGESTED, AS_BEFORE, AS_AFTER = "value", "suggested", "as_before", "as_after"
HOLD = "hold"
# Slopes that differ by more than this share of the larger one break at a key.
BREAK = 0.05
# A switch or an influence that goes at once is spread over so many seconds.
SPREAD_S = 0.3


@dataclass(frozen=True, eq=False)
class Repair:
    """One key of a group mended.

    mended    the group with the keys that it would have
    frame     scene frame of the key that is to blame
    to_frame  where it goes, where its time is what is mended
    judged    the group as it is judged how odd the key is, where that is not by `mended`
    misses    by how much its values may miss what was meant, as a share of what they change; None
              where that is not told
    """

    kind: str
    group: Group
    mended: Group
    frame: float
    to_frame: float | None = None
    judged: Group | None = None
    misses: float | None = None

    @property
    def of_key(self) -> tuple[object, ...]:
        """Whose key it mends: repairs of one key have it alike."""
        group = self.group
        return (group.control, group.name, group.action, group.strip, self.frame)

    @property
    def key(self) -> tuple[object, ...]:
        """What tells it from other repairs."""
        new = tuple(
            (*np.round(curve.frames, 3), *np.round(curve.values, 5)) for curve in self.mended.curves
        )
        return (*self.of_key, self.kind, new)


def keys_changed(repair: Repair) -> int:
    """How many keys have other values, at least one: of two ways that clear a turn, the one that
    leaves more as it is is the likelier."""
    pairs = zip(repair.group.curves, repair.mended.curves, strict=True)
    changed = [
        sum(abs(a - b) > LEVEL for a, b in zip(old.values, new.values, strict=False))
        for old, new in pairs
        if new is not old
    ]
    return max([1, *changed])


def structural(group: Group, frame: float, fps: float) -> Iterator[Repair]:
    """Repairs of what the curves themselves show to be odd at a key: corners, turns, steps."""
    for kind, edit in ((SMOOTH, _smooth), (UNWIND, _unwind)):
        mended = edit(group, frame)
        if mended is not None:
            yield Repair(kind, group, mended, frame)
    if not group.is_transform:
        yield from _spread(group, frame, fps)


def room(group: Group, frame: float) -> Iterator[float]:
    """The frames just before and just after a key, where no other key is or follows at once."""
    others = [each for each in group.frames if each != frame]
    for shift in (-1.0, 1.0):
        beyond = [each for each in others if (each - frame) * shift > 0.0]
        if beyond and all(abs(each - frame - shift) > 0.5 for each in others):
            yield frame + shift


def retime(group: Group, frame: float, to_frame: float) -> Repair | None:
    """The key on another frame."""
    mended = _each_key(group, frame, lambda curve, n: with_frame(curve, n, to_frame))
    return None if mended is None else Repair(RETIME, group, mended, frame, to_frame)


def with_values(group: Group, frame: float, values: Floats) -> Group:
    """The group with its key on a frame at other values (K,); curves without that key stay."""
    curves = []
    for curve, value in zip(group.curves, values, strict=True):
        n = None if np.isnan(value) else group.key_at(curve, frame)
        curves.append(curve if n is None else with_value(curve, n, float(value)))
    return group.with_curves(tuple(curves))


def held(group: Group, first: float, last: float) -> Repair | None:
    """All keys from frame `first` to `last` at the values that the group has at the first of them;
    the key that goes furthest from the one before is to blame. None where that changes nothing."""
    frames = [frame for frame in group.frames if first <= frame <= last]
    if len(frames) < 2:
        return None
    mended, ways = group, []
    start = values_of(group, frames[0])
    for before, frame in pairwise(frames):
        mended = with_values(mended, frame, start)
        way = np.abs(values_of(group, frame) - values_of(group, before))
        ways.append(float(np.nanmax(way, initial=0.0)))
    if max(ways) <= LEVEL:
        return None
    return Repair(HOLD, group, mended, frames[1 + int(np.argmax(ways))])


def values_of(group: Group, frame: float) -> Floats:
    """(K,) the group's key values on a frame; NaN where a curve has no key there."""
    found = []
    for curve in group.curves:
        n = group.key_at(curve, frame)
        found.append(np.nan if n is None else curve.values[n])
    return np.array(found)


def neighbour_values(group: Group, frame: float, side: int) -> Floats | None:
    """(K,) each curve's key value just before (-1) or after (1) its key on a frame, or None."""
    found = []
    for curve in group.curves:
        n = group.key_at(curve, frame)
        if n is None:
            found.append(np.nan)
        elif 0 <= n + side < len(curve.values):
            found.append(curve.values[n + side])
        else:
            return None
    return np.array(found)


def _each_key(group: Group, frame: float, edit: object) -> Group | None:
    curves, changed = [], False
    for curve in group.curves:
        n = group.key_at(curve, frame)
        if n is not None:
            curve = edit(curve, n)  # type: ignore[operator]
            changed = True
        curves.append(curve)
    return group.with_curves(tuple(curves)) if changed else None


def _smooth(group: Group, frame: float) -> Group | None:
    """Smooth handles where any curve of the group has a corner at the key."""
    if not any(has_corner(group, curve, frame) for curve in group.curves):
        return None
    return _each_key(group, frame, lambda curve, n: smoothed(curve, (n,)))


def has_corner(group: Group, curve: Curve, frame: float) -> bool:
    """Whether a curve's key is no smooth one: linear, held, or with handles that break."""
    n = group.key_at(curve, frame)
    if n is None or len(curve.values) < 2:
        return False
    if n + 1 < len(curve.values) and curve.interpolation[n] in CORNERS:
        return abs(curve.values[n + 1] - curve.values[n]) > LEVEL
    if not 0 < n < len(curve.values) - 1:
        return False
    into, out = slopes_at_key(curve, n)
    return abs(out - into) > BREAK * max(abs(into), abs(out)) + LEVEL


def _unwind(group: Group, frame: float) -> Group | None:
    if group.name == "rotation_quaternion" and len(group.curves) == 4:
        return _unflip(group, frame)
    if group.name == "rotation_euler":
        return _unturn(group, frame)
    return None


def _unflip(group: Group, frame: float) -> Group | None:
    """Quaternions that jump to their negative, which is the same pose: signs turned back."""
    here, before = values_of(group, frame), neighbour_values(group, frame, -1)
    if before is None or np.isnan(here).any() or float(here @ before) >= 0.0:
        return None
    after = neighbour_values(group, frame, 1)
    stays = after is not None and float(here @ after) > 0.0
    return _shifted(group, frame, lambda value: -value, onwards=stays)


def _unturn(group: Group, frame: float) -> Group | None:
    """Euler angles that go round once more than they need: whole turns taken out."""
    mended, changed = group, False
    for k, curve in enumerate(group.curves):
        n = group.key_at(curve, frame)
        if n is None or n == 0:
            continue
        rounds = round((curve.values[n] - curve.values[n - 1]) / (2.0 * np.pi))
        if rounds == 0:
            continue
        last = n + 1 == len(curve.values)
        stays = not last and abs(curve.values[n + 1] - curve.values[n]) < np.pi
        by = -2.0 * np.pi * rounds
        mended = _shift_curve(mended, k, n, lambda value, by=by: value + by, onwards=stays)
        changed = True
    return mended if changed else None


def _shifted(group: Group, frame: float, change: object, *, onwards: bool) -> Group:
    mended = group
    for k, curve in enumerate(group.curves):
        n = group.key_at(curve, frame)
        if n is not None:
            mended = _shift_curve(mended, k, n, change, onwards=onwards)
    return mended


def _shift_curve(group: Group, k: int, n: int, change: object, *, onwards: bool) -> Group:
    """Key n of curve k changed, or that and all later ones."""
    curve = group.curves[k]
    for at in range(n, len(curve.values) if onwards else n + 1):
        curve = with_value(curve, at, change(curve.values[at]))  # type: ignore[operator]
    curves = (*group.curves[:k], curve, *group.curves[k + 1 :])
    return group.with_curves(curves)


def _spread(group: Group, frame: float, fps: float) -> Iterator[Repair]:
    """A property or an influence that jumps within a frame or two: reached later."""
    (curve,) = group.curves
    n = group.key_at(curve, frame)
    if n is None or curve.steps or not is_switched(curve, n):
        return
    held = is_held(curve, n) and curve.frames[n] - curve.frames[n - 1] > AT_ONCE_FRAMES
    to_frame = curve.frames[n - 1] + max(round(SPREAD_S * fps), AT_ONCE_FRAMES)
    if held:
        to_frame = curve.frames[n]
    elif n + 1 < len(curve.frames):
        to_frame = min(to_frame, curve.frames[n + 1] - 1.0)
    late = eased_to(with_frame(curve, n, to_frame), n)
    if held or to_frame > curve.frames[n]:
        yield Repair(SPREAD, group, group.with_curves((late,)), frame, to_frame)
