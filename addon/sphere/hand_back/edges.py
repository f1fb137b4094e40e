# SPDX-License-Identifier: GPL-3.0-or-later
"""New keys among a channel's own, which stay outside the ball's range.

Outside of it the channel goes as it went: a Bezier segment that the range cuts is cut there, so
that the key outside keeps its slope and the new key at the edge takes over that of the curve. Where
the ball was moved at the edge itself, the segment leads on from there.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from . import beziers
from .ball import SAME_FRAME
from .fitting import in_line
from .key_arrays import ALIGNED, BEZIER, FREE, SET_BY_BLENDER, Keys, joined


def among(old: Keys, was: Callable[[float], float], new: Keys) -> Keys:
    """The new keys and, of the old ones, those outside their range.

    was   what the channel was on a frame of animation
    """
    if not len(old):
        return new
    first, last = float(new.times[0]), float(new.times[-1])
    before = old.picked(old.times < first - SAME_FRAME)
    after = old.picked(old.times > last + SAME_FRAME)
    new = new.picked(np.arange(len(new)))
    if len(before) and len(before) < len(old):
        _lead_in(old, before, new, was(first))
    if len(after) and len(after) < len(old):
        _lead_out(old, after, new, was(last))
    elif len(after):  # all keys come after
        after = old
    return joined(*(part for part in (before, new, after) if len(part)))


def _lead_in(old: Keys, before: Keys, new: Keys, was: float) -> None:
    """From the last key before the range to the first new one."""
    at = len(before) - 1
    if int(old.rest["interpolation"][at]) != BEZIER:
        return
    part = beziers.cut(_segment(old, at), old.times[at], new.times[0])
    before.places["handle_right"][-1] = part[1]
    part[2, 1] += new.places["co"][0, 1] - was
    new.places["handle_left"][0] = part[2]
    _fix(before, -1)
    _fix(new, 0)


def _lead_out(old: Keys, after: Keys, new: Keys, was: float) -> None:
    """From the last new key to the first one after the range."""
    at = len(old) - len(after) - 1
    new.set_segment(len(new) - 1, old.segment(at))
    if int(old.rest["interpolation"][at]) != BEZIER:
        return
    part = beziers.cut(_segment(old, at), new.times[-1], old.times[at + 1])
    part[1, 1] += new.places["co"][-1, 1] - was
    new.places["handle_right"][-1] = part[1]
    after.places["handle_left"][0] = part[2]
    _fix(after, 0)
    _fix(new, -1)


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
        if int(keys.rest[name][at]) in SET_BY_BLENDER or code == FREE:
            keys.rest[name][at] = code
