# SPDX-License-Identifier: GPL-3.0-or-later
"""The keyed channels of a rig, of its bones and of the object: what to read, and the reading."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...analysis.curves import Curve
from .curves import bone_of

# Channels of a pose bone that foreach_get reads for all bones at once, with their width.
_AT_ONCE = {
    "location": 3,
    "rotation_axis_angle": 4,
    "rotation_euler": 3,
    "rotation_quaternion": 4,
    "scale": 3,
}


@dataclass(frozen=True)
class Channel:
    """A channel, named `control|channel`.

    prop    the property of pose bones that holds it, `index` the place in all bones' values;
            or None: it is read at `path`, from an array at `index`
    """

    name: str
    prop: str | None
    path: str
    index: int

    @property
    def array_index(self) -> int:
        """The index at `path`, as F-curves have it."""
        return self.index if self.prop is None else self.index % _AT_ONCE[self.prop]


def plan_channels(rig: bpy.types.Object, curves: Sequence[Curve]) -> tuple[Channel, ...]:
    """One channel for every keyed one that holds a number; text and choices are left out."""
    bones = rig.pose.bones if rig.pose is not None else ()
    place = {bone.name: n for n, bone in enumerate(bones)}
    found: dict[str, Channel] = {}
    for curve in curves:
        name = f"{curve.control}|{curve.channel}"
        prop, bone = curve.channel.rpartition(".")[0], bone_of(curve.data_path)
        if bone is not None and prop in _AT_ONCE:
            index = place[bone] * _AT_ONCE[prop] + curve.index
            found[name] = Channel(name, prop, curve.data_path, index)
        elif _number(rig, curve.data_path, curve.index) is not None:
            found[name] = Channel(name, None, curve.data_path, curve.index)
    return tuple(found.values())


def _number(block: Any, path: str, index: int) -> float | None:
    """The number at a path of a block; None where there is none."""
    try:
        value = block.path_resolve(path)
        if isinstance(value, (bool, int, float)):
            return float(value)
        return None if isinstance(value, str) else float(value[index])
    except (ValueError, TypeError, KeyError, IndexError):  # nothing there, or no number
        return None


class ChannelReader:
    """Collects channels frame by frame into `values` (T,K)."""

    def __init__(self, rig: bpy.types.Object, channels: Sequence[Channel], frames: int) -> None:
        size = len(rig.pose.bones) if rig.pose is not None else 0
        self.values = np.zeros((frames, len(channels)))
        self._at_once = []
        for prop, width in _AT_ONCE.items():
            columns = [k for k, each in enumerate(channels) if each.prop == prop]
            if columns:
                places = [channels[k].index for k in columns]
                self._at_once.append((prop, np.zeros(size * width, np.float32), columns, places))
        self._single = [(k, each) for k, each in enumerate(channels) if each.prop is None]

    def read(self, at: int, rig: bpy.types.Object) -> None:
        """Read frame number `at` (counted from 0) from the evaluated rig.

        Blender writes no value that equals the one there is, so that the sign of a zero would be
        that of the frame that was read before: all zeros are positive.
        """
        for prop, flat, columns, places in self._at_once:
            rig.pose.bones.foreach_get(prop, flat)
            self.values[at, columns] = flat[places] + 0.0
        for k, channel in self._single:
            # A property that vanishes while frames are stepped keeps its last value.
            value = _number(rig, channel.path, channel.index)
            self.values[at, k] = self.values[at - 1, k] if value is None else value + 0.0
