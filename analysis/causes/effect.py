# SPDX-License-Identifier: GPL-3.0-or-later
"""What a change of a control's channels does in the world, before any rig is asked.

A control's matrix is what carries it times its own channels, so that other channels give
another matrix: whatever hangs on the control rigidly goes along. Where that is not true (limbs
that IK bends) only the rig itself knows, and nothing is foretold.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..basis import Basis
from ..channel_turns import carrier_axes, turn_channels, turned, turns_from
from ..clip import Clip
from ..parts import limb_of
from .groups import Group

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Followers:
    """What goes along with a control: shares (B,) of a rigid follower's way."""

    basis: Basis
    shares: Floats

    @classmethod
    def of(cls, basis: Basis, group: Group) -> "Followers":
        """Those of a group's control."""
        return cls(basis, shares(basis, group.control, group.drives))

    def moved(self, group: Group, samples: Ints, change: Floats) -> Floats:
        """(N,B,2,3) the bodies' joints and tips where the group's channels gain `change` (N,K)."""
        moves = world_changes(self.basis.clip, group, samples, change)
        marks = self.basis.marks[samples][:, :, :2]
        away = np.einsum("nij,nbmj->nbmi", moves[:, :3, :3], marks) + moves[:, None, None, :3, 3]
        return np.asarray(marks + self.shares[None, :, None, None] * (away - marks))


def world_changes(clip: Clip, group: Group, samples: Ints, change: Floats) -> Floats:
    """(N,4,4) what moves a rigid follower from where it is to where it would be.

    samples (N,)    sample indices of the clip
    change (N,K)    what the group's channels gain there

    The identity for channels that move nothing by themselves (a property, an influence), and for
    scale.
    """
    moves = np.tile(np.eye(4), (len(samples), 1, 1))
    if clip.control_matrices is None or group.control not in clip.meta.controls:
        return moves
    axes = carrier_axes(clip, group.control, samples)
    if group.name == "location":
        away = np.zeros((len(samples), 3))
        away[:, [curve.index for curve in group.curves]] = change
        moves[:, :3, 3] = (axes @ away[..., None])[..., 0]
    elif group.name.startswith("rotation"):
        order = group.curves[0].rotation_mode or "XYZ"
        then = turn_channels(clip, group.control, group.name, samples)
        then[:, [curve.index for curve in group.curves]] += change
        matrices = clip.control_matrices[samples, clip.meta.controls.index(group.control)]
        there = quat.to_matrices(turns_from(group.name, then, order))
        turn = turned(matrices[:, :3, :3], axes @ there)
        moves[:, :3, :3] = turn
        head = matrices[:, :3, 3]
        moves[:, :3, 3] = head - (turn @ head[..., None])[..., 0]
    return moves


def shares(basis: Basis, control: str, drives: tuple[str, ...]) -> Floats:
    """(B,) how much of a rigid follower's way each body goes; 0 where only the rig can tell."""
    found = np.zeros(len(basis.bodies))
    told = basis.clip.meta.carried.get(control)
    bends = _bent(basis, control, drives)
    for n, body in enumerate(basis.bodies):
        if told is not None:
            found[n] = told.get(body.name, (0.0, 0.0))[0]
        else:
            found[n] = float(body.name in drives and (body.part or "") not in bends)
    for n, body in enumerate(basis.bodies):
        if (body.part or "").startswith("prop") or body.added:  # what hangs on a joint goes along
            found[n] = found[body.parent] if body.parent >= 0 else found[n]
    return found


def _bent(basis: Basis, control: str, drives: tuple[str, ...]) -> set[str]:
    """Parts of limbs that IK bends as this control moves: all but the end that it pulls, and the
    whole limb below its first joint where another control pulls the end."""
    found: set[str] = set()
    parts = {body.part for body in basis.bodies if body.part and body.name in drives}
    for part, target in basis.clip.meta.targets.items():
        limb = limb_of(part)
        if target == control or (parts and parts <= set(limb)):
            found |= set(limb[: limb.index(part)])
        if target != control:
            found |= set(limb[1:])
    return found
