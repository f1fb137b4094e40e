# SPDX-License-Identifier: GPL-3.0-or-later
"""New keys among a channel's own, which stay outside the ball's range.

Outside of it the channel goes as it went: a Bezier segment that the range cuts is cut there, so
that the key outside keeps its slope and the new key at the edge takes over that of the curve. Where
the ball was moved at the edge itself, the segment leads smoothly there instead.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from . import beziers
from .ball import SAME_FRAME
from .fitting import in_line
from .key_arrays import ALIGNED, BEZIER, FREE, Keys, joined

# Channels that are all changed by less at an edge of the range were not changed there.
_CHANGED = 1e-5
# What a channel was at a time.
_Was = Callable[[float], float]


def among(old: dict[int, tuple[Keys, _Was]], new: list[Keys]) -> list[Keys]:
    """The new keys of a control's channels and, of the old ones, those outside their range.

    old   by the channel's index, for those that have keys
    """
    changed = tuple(
        any(_changed(*old[n], keys, end) for n, keys in _both(old, new)) for end in (0, -1)
    )
    found = list(new)
    for n, keys in _both(old, new):
        found[n] = _among(*old[n], keys, changed)
    return found


def _both(old: dict[int, tuple[Keys, _Was]], new: list[Keys]) -> list[tuple[int, Keys]]:
    return [(n, keys) for n, keys in enumerate(new) if n in old and len(old[n][0])]


def _changed(_old: Keys, was: _Was, new: Keys, end: int) -> bool:
    time, value = new.places["co"][end]
    return bool(abs(value - was(time)) > _CHANGED)


def _among(old: Keys, was: _Was, new: Keys, changed: tuple[bool, ...]) -> Keys:
    first, last = float(new.times[0]), float(new.times[-1])
    before = old.picked(old.times < first - SAME_FRAME)
    after = old.picked(old.times > last + SAME_FRAME)
    new = new.picked(np.arange(len(new)))
    if 0 < len(before) < len(old):
        _lead_in(old, before, new, was(first) if changed[0] else None)
    if 0 < len(after) < len(old):
        _lead_out(old, after, new, was(last) if changed[1] else None)
    return joined(*(part for part in (before, new, after) if len(part)))


def _lead_in(old: Keys, before: Keys, new: Keys, was: float | None) -> None:
    """From the last key before the range to the first new one; `was` where that was changed."""
    at = len(before) - 1
    if int(old.rest["interpolation"][at]) != BEZIER:
        return
    part = beziers.cut(_segment(old, at), old.times[at], new.times[0])
    before.places["handle_right"][-1] = part[1]
    new.places["handle_left"][0] = part[2]
    if was is not None:
        _lean(new, 0, "handle_left", "handle_right", part[2, 1] - was)
    _fix(before, -1)
    _fix(new, 0)


def _lead_out(old: Keys, after: Keys, new: Keys, was: float | None) -> None:
    """From the last new key to the first one after the range; `was` where that was changed."""
    at = len(old) - len(after) - 1
    new.set_segment(len(new) - 1, old.segment(at))
    if int(old.rest["interpolation"][at]) != BEZIER:
        return
    part = beziers.cut(_segment(old, at), new.times[-1], old.times[at + 1])
    new.places["handle_right"][-1] = part[1]
    after.places["handle_left"][0] = part[2]
    if was is not None:
        _lean(new, -1, "handle_right", "handle_left", part[1, 1] - was)
    _fix(after, 0)
    _fix(new, -1)


def _lean(keys: Keys, at: int, outer: str, inner: str, rise: float) -> None:
    """Let the outer handle of a key at an edge go on from the inner one; where that is none, from
    its key as the curve did."""
    key, near = keys.places["co"][at], keys.places[inner][at]
    time = keys.places[outer][at][0]
    if abs(near[0] - key[0]) > 0.0:
        rise = (near[1] - key[1]) * (time - key[0]) / (near[0] - key[0])
    keys.places[outer][at] = time, key[1] + rise


def _segment(keys: Keys, at: int) -> Any:
    places = keys.places
    return beziers.limited(
        np.stack(
            (
                places["co"][at],
                places["handle_right"][at],
                places["handle_left"][at + 1],
                places["co"][at + 1],
            )
        )
    )


def _fix(keys: Keys, at: int) -> None:
    """Let handles stay where they are, in line where they are in line."""
    left, key, right = (keys.places[n][at] for n in ("handle_left", "co", "handle_right"))
    if keys.places["handle_left"][at][0] >= key[0]:  # a key at an end has none yet on that side
        keys.places["handle_left"][at] = left = 2.0 * key - right
    if keys.places["handle_right"][at][0] <= key[0]:
        keys.places["handle_right"][at] = right = 2.0 * key - left
    code = ALIGNED if in_line(left, key, right) else FREE
    for name in ("handle_left_type", "handle_right_type"):
        keys.rest[name][at] = code


def fixed_handles(keys: Keys, which: Any) -> Keys:
    """The keys, the handles of some of them (a mask) fixed where they are."""
    found = keys.picked(np.arange(len(keys)))
    for at in np.nonzero(which)[0]:
        _fix(found, int(at))
    return found
