# SPDX-License-Identifier: GPL-3.0-or-later
"""What a change of a control's channels does in the world, before any rig is asked.

A control's matrix is what carries it times its own channels, so that other channels give
another matrix: whatever hangs on the control rigidly goes along. Where that is not true (limbs
that IK bends) only the rig itself knows, and nothing is foretold.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..basis import Basis
from ..clip import Clip
from ..curves import Curve
from ..parts import limb_of
from .groups import Group

Floats = NDArray[np.float64]


def world_changes(clip: Clip, group: Group, samples: NDArray[np.int64], change: Floats) -> Floats:
    """(N,4,4) what moves a rigid follower from where it is to where it would be.

    samples (N,)    sample indices of the clip
    change (N,K)    what the group's channels gain there

    The identity for channels that move nothing by themselves (a property, an influence), and for
    scale.
    """
    moves = np.tile(np.eye(4), (len(samples), 1, 1))
    if clip.control_matrices is None or group.control not in clip.meta.controls:
        return moves
    matrices = clip.control_matrices[samples, clip.meta.controls.index(group.control)]
    now = _values(clip, group.control, samples)
    axes = matrices[:, :3, :3] @ np.swapaxes(_turn(now), 1, 2)
    if group.name == "location":
        away = np.zeros((len(samples), 3))
        away[:, [curve.index for curve in group.curves]] = change
        moves[:, :3, 3] = (axes @ away[..., None])[..., 0]
    elif group.name.startswith("rotation"):
        then = {name: (kind, values.copy()) for name, (kind, values) in now.items()}
        for k, curve in enumerate(group.curves):
            then[group.name][1][:, curve.index] += change[:, k]
        turn = axes @ _turn(then) @ np.linalg.inv(matrices[:, :3, :3])
        moves[:, :3, :3] = turn
        head = matrices[:, :3, 3]
        moves[:, :3, 3] = head - (turn @ head[..., None])[..., 0]
    return moves


def shares(basis: Basis, control: str, drives: tuple[str, ...]) -> Floats:
    """(B,) how much of a rigid follower's way each body goes; 0 where only the rig can tell."""
    found = np.zeros(len(basis.bodies))
    carried: Mapping[str, Mapping[str, tuple[float, float]]] = getattr(
        basis.clip.meta, "carried", {}
    )
    told = carried.get(control)
    if told is not None:
        for n, body in enumerate(basis.bodies):
            found[n] = told.get(body.name, (0.0, 0.0))[0]
    else:
        steered = _steered_elsewhere(basis, control)
        for n, body in enumerate(basis.bodies):
            found[n] = float(body.name in drives and (body.part or "") not in steered)
    for n, body in enumerate(basis.bodies):
        if body.name not in basis.clip.joints[: len(basis.clip.joints)] or _hangs(basis, n):
            found[n] = found[body.parent] if body.parent >= 0 else 0.0
    return found


def _hangs(basis: Basis, body: int) -> bool:
    """Whether a body is a prop in a hand, which goes along with it."""
    return (basis.bodies[body].part or "").startswith("prop")


def _steered_elsewhere(basis: Basis, control: str) -> set[str]:
    """Parts of limbs that IK pulls to another control: the limb bends and its end stays."""
    found: set[str] = set()
    for part, target in basis.clip.meta.targets.items():
        if target != control:
            found |= set(limb_of(part)[1:])
    return found


def _values(
    clip: Clip, control: str, samples: NDArray[np.int64]
) -> dict[str, tuple[Curve, Floats]]:
    """Rotation channels of a control as they play: property -> a curve of it and (N,3 or 4)."""
    found: dict[str, tuple[Curve, Floats]] = {}
    for curve in clip.meta.curves:
        prop = curve.channel.rpartition(".")[0]
        name = f"{control}|{curve.channel}"
        if curve.control != control or not prop.startswith("rotation") or name not in clip.channels:
            continue
        if prop not in found:
            rest = [0.0, 0.0, 0.0] if prop == "rotation_euler" else [1.0, 0.0, 0.0, 0.0]
            if prop == "rotation_axis_angle":
                rest = [0.0, 0.0, 1.0, 0.0]
            found[prop] = (curve, np.tile(rest, (len(samples), 1)))
        values = clip.channel_values
        if values is not None:
            found[prop][1][:, curve.index] = values[samples, clip.channels.index(name)]
    return found


def _turn(values: Mapping[str, tuple[Curve, Floats]]) -> Floats:
    """(N,3,3) or (3,3) the turn of rotation channels; the one that is keyed plays."""
    for prop, (curve, numbers) in values.items():
        if prop == "rotation_quaternion":
            return _matrices(quat.normalise(numbers))
        if prop == "rotation_axis_angle":
            half = 0.5 * numbers[:, :1]
            axis = numbers[:, 1:] / np.maximum(
                np.linalg.norm(numbers[:, 1:], axis=-1, keepdims=True), 1e-12
            )
            return _matrices(np.concatenate((np.cos(half), np.sin(half) * axis), axis=-1))
        return _euler(numbers, getattr(curve, "rotation_mode", "") or "XYZ")
    return np.eye(3)[None]


def _euler(angles: Floats, order: str) -> Floats:
    """(N,3,3) Blender's Euler turns: the first axis of the order turns first."""
    turn = np.tile(np.eye(3), (len(angles), 1, 1))
    for axis in order:
        n = "XYZ".index(axis)
        half = 0.5 * angles[:, n]
        one = np.zeros((len(angles), 4))
        one[:, 0], one[:, 1 + n] = np.cos(half), np.sin(half)
        turn = _matrices(one) @ turn
    return turn


def _matrices(q: Floats) -> Floats:
    """(N,3,3) of unit quaternions (N,4)."""
    return np.stack([quat.rotate(q, np.eye(3)[n]) for n in range(3)], axis=-1)
