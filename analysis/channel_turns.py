# SPDX-License-Identifier: GPL-3.0-or-later
"""A control's own turn, from its keyed channels, and back."""

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .clip import Clip

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def turns_of(clip: Clip, control: str, samples: Ints) -> Floats:
    """(N,4) unit quaternions of a control's rotation channels on samples.

    Euler angles are taken in the order X, Y, Z, Blender's own default: curves do not tell it.
    Channels that are not keyed count as rest, which only turns the axes that all keys share.
    """
    keyed = {name for name in clip.channels if name.startswith(f"{control}|rotation_")}
    if any("|rotation_quaternion." in name for name in keyed):
        parts = _columns(clip, control, "rotation_quaternion", "wxyz", samples)
        if f"{control}|rotation_quaternion.w" not in keyed:
            parts[:, 0] = np.sqrt(np.clip(1.0 - np.sum(parts[:, 1:] ** 2, axis=-1), 0.0, 1.0))
        return quat.normalise(parts)
    if any("|rotation_euler." in name for name in keyed):
        return from_euler(_columns(clip, control, "rotation_euler", "xyz", samples))
    if any("|rotation_axis_angle." in name for name in keyed):
        parts = _columns(clip, control, "rotation_axis_angle", "wxyz", samples)
        axis = parts[:, 1:] / np.maximum(np.linalg.norm(parts[:, 1:], axis=-1), 1e-12)[:, None]
        half = 0.5 * parts[:, :1]
        return quat.normalise(np.concatenate((np.cos(half), np.sin(half) * axis), axis=-1))
    return np.tile([1.0, 0.0, 0.0, 0.0], (len(samples), 1))


def from_euler(angles: Floats) -> Floats:
    """(N,4) turns about X, then Y, then Z by angles (N,3), radians."""
    found = np.tile([1.0, 0.0, 0.0, 0.0], (len(angles), 1))
    for axis in range(3):
        each = np.zeros((len(angles), 4))
        each[:, 0], each[:, 1 + axis] = np.cos(0.5 * angles[:, axis]), np.sin(0.5 * angles[:, axis])
        found = quat.multiply(each, found)
    return found


def to_euler(turn: Floats, near: Floats) -> Floats:
    """(3,) angles X, Y, Z, radians, of a turn (4,), of all that give it those nearest to `near`."""
    x, y, z = (quat.rotate(turn, axis) for axis in np.eye(3))
    pitch = float(np.arcsin(np.clip(-x[2], -1.0, 1.0)))
    first = np.array([np.arctan2(y[2], z[2]), pitch, np.arctan2(x[1], x[0])])
    other = np.array([first[0] + np.pi, np.pi - pitch, first[2] + np.pi])
    unwound = [
        each + 2.0 * np.pi * np.round((near - each) / (2.0 * np.pi)) for each in (first, other)
    ]
    return np.asarray(min(unwound, key=lambda each: float(np.abs(each - near).sum())))


def _columns(clip: Clip, control: str, prop: str, axes: str, samples: Ints) -> Floats:
    found = np.zeros((len(samples), len(axes)))
    for n, axis in enumerate(axes):
        name = f"{control}|{prop}.{axis}"
        if name in clip.channels and clip.channel_values is not None:
            found[:, n] = clip.channel_values[samples, clip.channels.index(name)]
    return found
