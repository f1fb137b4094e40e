# SPDX-License-Identifier: GPL-3.0-or-later
"""The values that put a key on the arc of its neighbours, as Blender's fields show them."""

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .arc_keys import KeyMiss
from .cause import KeyEdit
from .causes.groups import field_factor
from .channel_turns import keyed_turn, to_euler
from .clip import Clip

Floats = NDArray[np.float64]

# Channels that make a whole turn; with fewer of them keyed, which turn they give is not known.
WHOLE = {"rotation_quaternion": 4, "rotation_euler": 3}
# Values that change by less stay as they are.
LEAST = 1e-6


def edits_of(clip: Clip, miss: KeyMiss) -> tuple[KeyEdit, ...]:
    """The key's new values; empty where its channels do not tell a whole turn."""
    before = {channel: _value(clip, miss, channel) for channel in miss.path.channels}
    if miss.group == "location":
        after = _shifted(miss, before)
    elif len(before) == WHOLE.get(miss.path.prop):
        after = _turned(clip, miss, before)
    else:
        return ()
    return tuple(
        KeyEdit(
            control=miss.control,
            channel=channel,
            frame=miss.frame,
            before=field_factor(channel) * before[channel],
            after=field_factor(channel) * after[channel],
        )
        for channel in before
        if abs(after[channel] - before[channel]) > LEAST
    )


def _value(clip: Clip, miss: KeyMiss, channel: str) -> float:
    if clip.channel_values is None:
        return 0.0
    column = clip.channels.index(f"{miss.control}|{channel}")
    return float(clip.channel_values[miss.sample, column])


def _shifted(miss: KeyMiss, before: dict[str, float]) -> dict[str, float]:
    way = np.linalg.lstsq(miss.path.carrier[miss.key], miss.miss, rcond=None)[0]
    return {
        channel: each + float(way["xyz".index(channel[-1])]) for channel, each in before.items()
    }


def _turned(clip: Clip, miss: KeyMiss, before: dict[str, float]) -> dict[str, float]:
    """The shortest turn that takes the point toward its arc; its distance cannot change."""
    path, turn = miss.path, miss.path.values[miss.key]
    start = quat.rotate(turn, path.arm[miss.key])
    goal = start + np.linalg.lstsq(path.carrier[miss.key], miss.miss, rcond=None)[0]
    length = np.linalg.norm(start) * np.linalg.norm(goal)
    half = np.concatenate(([length + start @ goal], np.cross(start, goal)))
    new = quat.multiply(quat.normalise(half), turn)
    names = list(before)
    raw = np.array([before[name] for name in names])
    if path.prop == "rotation_euler":
        order = ["xyz".index(name[-1]) for name in names]
        near = np.zeros(3)
        near[order] = raw
        _prop, turns = keyed_turn(clip, miss.control) or ("", "XYZ")
        return dict(zip(names, to_euler(new, near, turns)[order].tolist(), strict=True))
    parts = new[["wxyz".index(name[-1]) for name in names]] * np.linalg.norm(raw)
    return dict(zip(names, (parts if parts @ raw >= 0.0 else -parts).tolist(), strict=True))
