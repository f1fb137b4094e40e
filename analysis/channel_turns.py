# SPDX-License-Identifier: GPL-3.0-or-later
"""A control's own turn, from its keyed channels, and back."""

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .clip import Clip
from .curves import Curve

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Axes that are flatter than this hold no turn: single precision leaves seven digits.
_MOST_FLAT = 1e6

_REST = ("rotation_quaternion", "rotation_euler", "rotation_axis_angle")


def turns_of(clip: Clip, control: str, samples: Ints) -> Floats:
    """(N,4) unit quaternions of a control's rotation channels on samples.

    Channels that are not keyed count as rest, which only turns the axes that all keys share.
    """
    keyed = keyed_turn(clip, control)
    if keyed is None:
        return np.tile([1.0, 0.0, 0.0, 0.0], (len(samples), 1))
    prop, order = keyed
    return turns_from(prop, turn_channels(clip, control, prop, samples), order)


def carrier_axes(clip: Clip, control: str, samples: Ints) -> Floats:
    """(N,3,3) the axes of what carries a control: metres in the world (columns) for one unit of
    its location channels. The control's own turn is taken out of its matrix."""
    assert clip.control_matrices is not None
    matrices = clip.control_matrices[samples, clip.meta.controls.index(control), :3, :3]
    own = quat.to_matrices(turns_of(clip, control, samples))
    return np.asarray(matrices @ np.swapaxes(own, -1, -2))


def turned(before: Floats, after: Floats) -> Floats:
    """(...,3,3) what takes axes to others; the identity where the ones before, or those after, are
    scaled to nothing along a side: what hangs on them then cannot be told."""
    none = ~((np.linalg.cond(before) < _MOST_FLAT) & (np.linalg.cond(after) < _MOST_FLAT))
    whole = np.where(none[..., None, None], np.eye(3), before)
    return np.where(none[..., None, None], np.eye(3), after @ np.linalg.inv(whole))


def keyed_turn(clip: Clip, control: str) -> tuple[str, str] | None:
    """The rotation property of a control that is keyed, and the order of its Euler angles."""
    for curve in clip.meta.curves:
        prop = curve.channel.rpartition(".")[0]
        if curve.control == control and prop in _REST and plays(curve):
            euler = prop == "rotation_euler"
            return prop, (curve.rotation_mode if euler else "") or "XYZ"
    return None


def plays(curve: Curve) -> bool:
    """Whether a rotation channel is of the mode that its control turns by."""
    prop = curve.channel.rpartition(".")[0]
    if not prop.startswith("rotation_") or not curve.rotation_mode:
        return True
    named = {"QUATERNION": "rotation_quaternion", "AXIS_ANGLE": "rotation_axis_angle"}
    return prop == named.get(curve.rotation_mode, "rotation_euler")


def turn_channels(clip: Clip, control: str, prop: str, samples: Ints) -> Floats:
    """(N,3) or (N,4) the values of a rotation property, at rest where they are not keyed."""
    parts = _columns(clip, control, prop, "xyz" if prop == "rotation_euler" else "wxyz", samples)
    if prop == "rotation_quaternion" and f"{control}|{prop}.w" not in clip.channels:
        parts[:, 0] = np.sqrt(np.clip(1.0 - np.sum(parts[:, 1:] ** 2, axis=-1), 0.0, 1.0))
    return parts


def turns_from(prop: str, parts: Floats, order: str = "XYZ") -> Floats:
    """(N,4) unit quaternions of a rotation property's values."""
    if prop == "rotation_quaternion":
        return quat.normalise(parts)
    if prop == "rotation_euler":
        return from_euler(parts, order)
    axis = parts[:, 1:] / np.maximum(np.linalg.norm(parts[:, 1:], axis=-1), 1e-12)[:, None]
    half = 0.5 * parts[:, :1]
    return quat.normalise(np.concatenate((np.cos(half), np.sin(half) * axis), axis=-1))


def from_euler(angles: Floats, order: str = "XYZ") -> Floats:
    """(N,4) turns by angles (N,3) about X, Y and Z, radians; the first axis of the order first,
    as Blender names its orders."""
    found = np.tile([1.0, 0.0, 0.0, 0.0], (len(angles), 1))
    for axis in map("XYZ".index, order):
        each = np.zeros((len(angles), 4))
        each[:, 0], each[:, 1 + axis] = np.cos(0.5 * angles[:, axis]), np.sin(0.5 * angles[:, axis])
        found = quat.multiply(each, found)
    return found


def to_euler(turn: Floats, near: Floats, order: str = "XYZ") -> Floats:
    """(3,) angles about X, Y and Z, radians, that turn as (4,) does in an order; of all that do
    those nearest to `near`."""
    i, j, k = map("XYZ".index, order)
    odd = -1.0 if order in ("XZY", "YXZ", "ZYX") else 1.0
    m = quat.to_matrices(turn)
    middle = float(np.arcsin(np.clip(-odd * m[k, i], -1.0, 1.0)))
    one, other = np.zeros(3), np.zeros(3)
    one[i], one[j], one[k] = (
        np.arctan2(odd * m[k, j], m[k, k]),
        middle,
        np.arctan2(odd * m[j, i], m[i, i]),
    )
    other[i], other[j], other[k] = one[i] + np.pi, np.pi - middle, one[k] + np.pi
    unwound = [
        each + 2.0 * np.pi * np.round((near - each) / (2.0 * np.pi)) for each in (one, other)
    ]
    return np.asarray(min(unwound, key=lambda each: float(np.abs(each - near).sum())))


def _columns(clip: Clip, control: str, prop: str, axes: str, samples: Ints) -> Floats:
    found = np.zeros((len(samples), len(axes)))
    for n, axis in enumerate(axes):
        name = f"{control}|{prop}.{axis}"
        if name in clip.channels and clip.channel_values is not None:
            found[:, n] = clip.channel_values[samples, clip.channels.index(name)]
    return found
