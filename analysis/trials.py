# SPDX-License-Identifier: GPL-3.0-or-later
"""What would be if some channels took other values: asked here, posed by whoever has the rig."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .clip import Clip
from .curves import Curve

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Trial:
    """A question to the rig.

    samples (N,)   rising sample indices of the clip on which the figure is to be posed anew
    channels       K names of the clip's channels, `control|channel`
    values (N,K)   what they take there; every other channel keeps the clip's value
    curves         the curves that give these values, instead of those of the same channels
    """

    samples: Ints
    channels: tuple[str, ...]
    values: Floats
    curves: tuple[Curve, ...] = ()


@dataclass(frozen=True, eq=False)
class Posed:
    """The answer: how the figure stands on the trial's N samples.

    joints         indices of the clip's joints that were posed; what hangs on one of them without
                   being listed (a prop in a hand) goes along
    positions (N,P,3), rotations (N,P,4)   of these, metres and unit quaternions, world
    controls (N,C,4,4)   of the clip's controls
    """

    samples: Ints
    joints: Ints
    positions: Floats
    rotations: Floats
    controls: Floats | None = None


def patched(clip: Clip, trial: Trial, posed: Posed) -> Clip:
    """The clip as a trial wants it: the figure as it was posed, channels and curves to match."""
    positions, rotations = clip.positions.copy(), clip.rotations.copy()
    at = posed.samples
    listed = set(posed.joints.tolist())
    positions[np.ix_(at, posed.joints)] = posed.positions
    rotations[np.ix_(at, posed.joints)] = posed.rotations
    for joint in _from_roots(clip.parents):
        parent = int(clip.parents[joint])
        if joint not in listed and parent >= 0:
            back = quat.conjugate(clip.rotations[at, parent])
            gap = quat.rotate(back, clip.positions[at, joint] - clip.positions[at, parent])
            turn = quat.multiply(back, clip.rotations[at, joint])
            new = rotations[at, parent]
            positions[at, joint] = positions[at, parent] + quat.rotate(new, gap)
            rotations[at, joint] = quat.multiply(new, turn)
    changes: dict[str, Any] = {"positions": positions, "rotations": quat.continuous(rotations)}
    if posed.controls is not None and clip.control_matrices is not None:
        controls = clip.control_matrices.copy()
        controls[at] = posed.controls
        changes["control_matrices"] = controls
    if trial.channels and clip.channel_values is not None:
        values = clip.channel_values.copy()
        columns = np.array([clip.channels.index(name) for name in trial.channels])
        values[np.ix_(trial.samples, columns)] = trial.values
        changes["channel_values"] = values
    if trial.curves:
        changes["meta"] = replace(clip.meta, curves=_with_curves(clip.meta.curves, trial.curves))
    return replace(clip, **changes)


def _with_curves(curves: tuple[Curve, ...], new: tuple[Curve, ...]) -> tuple[Curve, ...]:
    """The curves, with those of the new ones' channels, actions and strips replaced."""

    def name(curve: Curve) -> tuple[str, str, str, str | None]:
        return (curve.control, curve.channel, curve.action, curve.strip)

    instead = {name(curve): curve for curve in new}
    return tuple(instead.get(name(curve), curve) for curve in curves)


def _from_roots(parents: Sequence[int] | Ints) -> list[int]:
    """Joints in an order in which every one comes after its parent."""
    order: list[int] = []
    waiting = list(range(len(parents)))
    while waiting:
        ready = [j for j in waiting if parents[j] < 0 or int(parents[j]) in order]
        order += ready
        waiting = [j for j in waiting if j not in ready]
    return order
