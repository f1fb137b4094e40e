# SPDX-License-Identifier: GPL-3.0-or-later
"""Handles that Blender sets stay such where it sets them alike: then keys can be worked on.

A handle that is fixed where the ball has an automatic one is right, but stands still when the
animator moves its key. So it is tried: where Blender, asked for the ball's kinds of handles, puts
them where they are to be, the channel keeps these kinds.
"""

from typing import Any

import numpy as np

from .ball import SAME_FRAME, BallCurves
from .edges import fixed_handles
from .home import Home
from .key_arrays import BEZIER, SET_BY_BLENDER, SIDES, Keys, read_keys, with_codes, write_keys

# So much handles may differ, as a share of the channel's range, and this much at least.
_ALIKE, _LEAST = 2e-5, 1e-6
# To fix one key may move another.
_ROUNDS = 8


def with_automatic(home: Home, path: str, keys: list[Keys], ball: BallCurves) -> list[Keys]:
    """The keys of a channel's curves with the ball's kinds of handles, where these may stay.

    The curves of that channel are written to and left with what is returned.
    """
    curves = home.curves(path)
    return [_tried(curves[index], each, ball) for index, each in enumerate(keys)]


def kept_in_place(home: Home, path: str, keys: list[Keys]) -> list[Keys]:
    """The keys of a channel's curves, those fixed whose handles Blender would set otherwise.

    A handle that Blender sets looks at its neighbours, some at all keys of the curve: so keys that
    were not touched might go another way. The curves are left with what is returned.
    """
    curves = home.curves(path)
    return [_in_place(curves[index], each) for index, each in enumerate(keys)]


def _in_place(curve: Any, keys: Keys) -> Keys:
    for _ in range(_ROUNDS):
        write_keys(curve, keys)
        moved = _moved(read_keys(curve), keys)
        if not moved.any():
            break
        keys = fixed_handles(keys, moved)
    return keys


def _tried(curve: Any, keys: Keys, ball: BallCurves) -> Keys:
    kinds = np.array([_kind(ball, float(time)) for time in keys.times])
    own = kinds >= 0
    if not own.any():
        return keys
    codes = {f"{side}_type": np.where(own, kinds, keys.rest[f"{side}_type"]) for side in SIDES}
    wanted = with_codes(keys, **codes)
    write_keys(curve, wanted)
    if not _moved(read_keys(curve), keys).any():
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
            kinds |= {int(keys.rest[f"{side}_type"][at]) for side in SIDES}
    return kinds.pop() if len(kinds) == 1 and kinds <= set(SET_BY_BLENDER) else -1


def _moved(seen: Keys, wanted: Keys) -> Any:
    """(N,) whether a handle of a Bezier segment is elsewhere than it is to be."""
    bent = wanted.rest["interpolation"] == BEZIER
    uses = {"handle_right": bent, "handle_left": np.concatenate(([False], bent[:-1]))}
    uses["handle_right"][-1:] = False
    most = SAME_FRAME, _ALIKE * np.ptp(wanted.places["co"][:, 1]) + _LEAST
    found = np.zeros(len(wanted), dtype=bool)
    for side, used in uses.items():
        off = np.abs(seen.places[side] - wanted.places[side])
        found |= used & (off > most).any(axis=1)
    return found
