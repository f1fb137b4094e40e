# SPDX-License-Identifier: GPL-3.0-or-later
"""What a control's channels take when it is shifted by a centimetre, or turned by two degrees."""

from dataclasses import dataclass
from math import radians
from typing import Any

import bpy
import numpy as np
from mathutils import Quaternion

from ...analysis import Clip
from ...analysis.trials import Trial
from ..sampling.channels import Channel
from ..sampling.reader import RigPlan

SHIFT_M, TURN_DEG = 0.01, 2.0
# No axis of a rig's: on one of these a joint might stay by chance.
_WAY = np.array([0.6, 0.64, 0.48])
_AXIS = (0.48, 0.6, 0.64)


@dataclass(frozen=True, eq=False)
class Step:
    """Values that shift a control, or that turn it.

    names    channels; held, taken (K,) what they hold and what they take
    """

    names: tuple[str, ...]
    held: Any
    taken: Any
    shifts: bool

    def trial(self, way: float) -> Trial:
        """The step on the clip's first sample; the other way round for -1."""
        values = self.held + way * (self.taken - self.held)
        return Trial(np.array([0]), self.names, values[None])


@dataclass(frozen=True, eq=False)
class Nudge:
    """A control's steps, and the channels among them without keys, with what they hold."""

    steps: tuple[Step, ...]
    unkeyed: tuple[tuple[Channel, float], ...]


def nudge_of(plan: RigPlan, clip: Clip, control: str, unit: float) -> Nudge:
    """How to nudge a control from where it is on the clip's first sample.

    `unit` metres are one of Blender's. What is locked and not keyed stays as it is.
    """
    index = dict(plan.controls)[control]
    assert index is not None
    bone = plan.rig.pose.bones[index]
    place = _Held(bone, index, clip, control, "location", "xyz")
    scale = unit * (plan.rig.matrix_world.median_scale or 1.0)
    shifted = place.values + np.where(place.free(bone.lock_location), _WAY * SHIFT_M / scale, 0.0)
    turn, turned = _turned(bone, index, clip, control)
    steps = (
        Step(place.names, place.values, shifted, True),
        Step(turn.names, turn.values, turned, False),
    )
    kept = tuple(each for each in steps if (each.taken != each.held).any())
    return Nudge(kept, (*place.unkeyed, *turn.unkeyed))


class _Held:
    """One property of a pose bone: its channels, and what they hold."""

    def __init__(
        self,
        bone: bpy.types.PoseBone,
        index: int,
        clip: Clip,
        control: str,
        prop: str,
        axes: str,
    ) -> None:
        path = f'pose.bones["{bpy.utils.escape_identifier(bone.name)}"].{prop}'
        self.names = tuple(f"{control}|{prop}.{axis}" for axis in axes)
        self._keyed = [name in clip.channels for name in self.names]
        self.values = np.array(getattr(bone, prop), dtype=np.float64)
        for n, name in enumerate(self.names):
            if self._keyed[n] and clip.channel_values is not None:
                self.values[n] = clip.channel_values[0, clip.channels.index(name)]
        self.unkeyed = [
            (Channel(name, prop, path, index * len(axes) + n), float(self.values[n]))
            for n, name in enumerate(self.names)
            if not self._keyed[n]
        ]

    def free(self, locks: Any) -> Any:
        """(K,) which of its channels may be nudged, by an axis' lock or that of all of them."""
        if len(self.names) != len(locks):
            return np.full(len(self.names), any(self._keyed) or not all(locks))
        return np.array([k or not lock for k, lock in zip(self._keyed, locks, strict=True)])


def _turned(bone: bpy.types.PoseBone, index: int, clip: Clip, control: str) -> tuple[_Held, Any]:
    """What holds a control's rotation, and the values (K,) that turn it."""
    if bone.rotation_mode == "QUATERNION":
        held = _Held(bone, index, clip, control, "rotation_quaternion", "wxyz")
        turned = np.array(Quaternion(held.values.tolist()) @ Quaternion(_AXIS, radians(TURN_DEG)))
    elif bone.rotation_mode == "AXIS_ANGLE":
        held = _Held(bone, index, clip, control, "rotation_axis_angle", "wxyz")
        turned = held.values + [radians(TURN_DEG), 0.0, 0.0, 0.0]
    else:
        held = _Held(bone, index, clip, control, "rotation_euler", "xyz")
        turned = held.values + radians(TURN_DEG) * np.array(_AXIS)
    return held, np.where(held.free(bone.lock_rotation), turned, held.values)
