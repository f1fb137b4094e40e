# SPDX-License-Identifier: GPL-3.0-or-later
"""What is done to one key of a group of curves; plain arrays in, plain arrays out.

A group is a control's curves of one property, index -> `Keys`. Every edit touches the keys on one
frame (`flip_on` those after it too) and returns the curves that it changed.
"""

from collections.abc import Callable, Mapping

import numpy as np

from demo_scenes.rigify_human.beziers import LINEAR, Keys, frozen, with_key

Group = Mapping[int, Keys]
# value of a curve (index) on a frame, as it is before the edit
ValueAt = Callable[[int, float], float]
NEAR = 1e-3


def key_at(keys: Keys, frame: float) -> int | None:
    """The place of the key on a frame; None where there is none."""
    near = np.flatnonzero(np.abs(keys.frames - frame) < NEAR)
    return int(near[0]) if len(near) else None


def keyed_on(group: Group, frame: float) -> list[int]:
    """Which of a group's curves have a key on a frame."""
    return [index for index, keys in group.items() if key_at(keys, frame) is not None]


def linear(group: Group, frame: float) -> dict[int, Keys]:
    """The curves run straight from this key to the next one."""
    changed = {}
    for index in keyed_on(group, frame):
        keys = _copy(group[index])
        keys.extras["interpolation"][key_at(keys, frame)] = LINEAR
        changed[index] = keys
    return changed


def moved(group: Group, frame: float, by: Mapping[int, float]) -> dict[int, Keys]:
    """The key has other values; its handles go along."""
    changed = {}
    for index in keyed_on(group, frame):
        keys = _copy(group[index])
        keys.points[key_at(keys, frame), :, 1] += by.get(index, 0.0)
        changed[index] = keys
    return changed


def strayed(
    group: Group, frame: float, by: Mapping[int, float], value_at: ValueAt
) -> dict[int, Keys]:
    """Another value on this frame alone: linear keys on the frames beside it keep the curve.

    The handles are held where they are meanwhile, so that nothing else of the curve moves.
    """
    changed = {}
    for index, delta in by.items():
        keys = frozen(_copy(group[index]))
        for at in (frame - 1.0, frame + 1.0, frame):
            if key_at(keys, at) is None:
                keys = with_key(keys, at, value_at(index, at))
        at = key_at(keys, frame)
        keys.points[at, :, 1] += delta
        keys.extras["interpolation"][at - 1 : at + 1] = LINEAR
        keys.extras["type"][at] = 0
        changed[index] = keys
    return changed


def retimed(group: Group, frame: float, by: float) -> dict[int, Keys]:
    """The key comes so many frames later, or earlier; its handles go along."""
    changed = {}
    for index in keyed_on(group, frame):
        keys = _copy(group[index])
        keys.points[key_at(keys, frame), :, 0] += by
        changed[index] = keys
    return changed


def room(group: Group, frame: float) -> tuple[float, float]:
    """Frames to the nearest keys before and after the one on this frame, over its curves."""
    before = after = np.inf
    for index in keyed_on(group, frame):
        keys, at = group[index], key_at(group[index], frame)
        before = min(before, frame - keys.frames[at - 1] if at > 0 else 0.0)
        last = len(keys.frames) - 1
        after = min(after, keys.frames[at + 1] - frame if at < last else 0.0)
    return float(before), float(after)


def held(group: Group, frame: float) -> dict[int, Keys]:
    """The key takes the values of the key before it."""
    by = {}
    for index in keyed_on(group, frame):
        at = key_at(group[index], frame)
        values = group[index].points[:, 1, 1]
        by[index] = float(values[at - 1] - values[at])
    return moved(group, frame, by)


def flip_sign(group: Group, frame: float) -> dict[int, Keys]:
    """A quaternion's four values with the other sign on this key: the same turn, but the curves
    run through zero on their way there and back."""
    values = {i: float(group[i].points[key_at(group[i], frame), 1, 1]) for i in group}
    return moved(group, frame, {index: -2.0 * value for index, value in values.items()})


def flip_round(group: Group, frame: float, index: int, turn: float, *, on: bool) -> dict[int, Keys]:
    """One Euler angle a whole turn on at this key, and with `on` at all keys after it."""
    keys = _copy(group[index])
    at = key_at(keys, frame)
    keys.points[at : None if on else at + 1, :, 1] += turn
    return {index: keys}


def _copy(keys: Keys) -> Keys:
    return Keys(keys.points.copy(), {name: each.copy() for name, each in keys.extras.items()})
