# SPDX-License-Identifier: GPL-3.0-or-later
"""Handles that Blender sets stay such where it sets them alike: then keys can be worked on.

A handle that is fixed where the ball has an automatic one is right, but stands still when the
animator moves its key. So it is tried: where Blender, asked for the ball's kinds of handles, puts
them where they are to be, the channel keeps these kinds.
"""

from typing import Any

import numpy as np

from .ball import SAME_FRAME, BallCurves
from .home import Home
from .key_arrays import BEZIER, SET_BY_BLENDER, Keys, read_keys, with_codes, write_keys

# So much handles may differ, as a share of the channel's range, and this much at least.
_ALIKE, _LEAST = 2e-5, 1e-6
_SIDES = ("handle_left", "handle_right")


def with_automatic(home: Home, path: str, keys: list[Keys], ball: BallCurves) -> list[Keys]:
    """The keys of a channel's curves, as they are or with the ball's kinds of handles.

    The curves of that channel are written to and left with what is returned.
    """
    curves, found = home.curves(path), []
    for index, each in enumerate(keys):
        found.append(_tried(curves[index], each, ball))
    return found


def _tried(curve: Any, keys: Keys, ball: BallCurves) -> Keys:
    kinds = np.array([_kind(ball, float(time)) for time in keys.times])
    own = kinds >= 0
    if not own.any():
        return keys
    codes = {f"{side}_type": np.where(own, kinds, keys.rest[f"{side}_type"]) for side in _SIDES}
    wanted = with_codes(keys, **codes)
    write_keys(curve, wanted)
    if _alike(read_keys(curve), keys):
        return wanted
    write_keys(curve, keys)
    return keys


def _kind(ball: BallCurves, time: float) -> int:
    """The kind of handles that all keys of the ball on a frame have on both sides; else -1."""
    kinds = set()
    for keys in ball.keys:
        if keys is None:
            continue
        at = int(np.abs(keys.times - time).argmin())
        if abs(keys.times[at] - time) < SAME_FRAME:
            kinds |= {int(keys.rest[f"{side}_type"][at]) for side in _SIDES}
    return kinds.pop() if len(kinds) == 1 and kinds <= set(SET_BY_BLENDER) else -1


def _alike(seen: Keys, wanted: Keys) -> bool:
    """Whether all handles of Bezier segments are where they are to be."""
    bent = np.nonzero(wanted.rest["interpolation"][:-1] == BEZIER)[0]
    most = _ALIKE * np.ptp(wanted.places["co"][:, 1]) + _LEAST
    for side, rows in (("handle_right", bent), ("handle_left", bent + 1)):
        off = np.abs(seen.places[side] - wanted.places[side])[rows]
        if len(off) and (off[:, 0].max() > SAME_FRAME or off[:, 1].max() > most):
            return False
    return True
