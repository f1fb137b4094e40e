# SPDX-License-Identifier: GPL-3.0-or-later
"""Final values of channels as plain keys, one on every frame, in an action of their own.

Blender poses a rig from keys faster than from values that are set from outside: those make it copy
the whole rig on every frame.
"""

from collections.abc import Sequence
from typing import Any

import bpy
import numpy as np

from ..sampling.channels import Channel
from ..sampling.probes import NAME

# What would keep a copy from being evaluated says nothing about how it is posed.
_NOT_BAKED = ("hide_viewport", "hide_render", "hide_select")
_LINEAR = 1


class BakedKeys:
    """The keys of a copy, which has no others.

    channels   where each channel lives; those that have no column keep what the rig shows now
    names (K,), values (T,K)   the columns and what they take on times (T,), frames of animation;
               where a value is no number, the channel goes from the one before to the one after
    """

    def __init__(
        self,
        copy: bpy.types.Object,
        channels: Sequence[Channel],
        names: Sequence[str],
        times: Any,
        values: Any,
    ) -> None:
        self._copy, self._times, self._values = copy, times, values
        self._column = {name: k for k, name in enumerate(names)}
        self._channels = {
            each.name: each
            for each in channels
            if each.name in self._column and each.path not in _NOT_BAKED
        }
        self.action = bpy.data.actions.new(NAME)
        copy.animation_data_create().action = self.action
        for name in self._channels:
            self._write(name, values[:, self._column[name]])

    def take(self, samples: Any, names: Sequence[str], values: Any) -> None:
        """Let channels (C,) take other values (N,C) on samples (N,)."""
        for name, wanted in zip(names, np.transpose(values), strict=True):
            changed = self._values[:, self._column[name]].copy()
            changed[samples] = wanted
            self._write(name, changed)

    def put_back(self, names: Sequence[str]) -> None:
        """Let channels take their own values again."""
        for name in names:
            self._write(name, self._values[:, self._column[name]])

    def _write(self, name: str, values: Any) -> None:
        channel = self._channels.get(name)
        good = np.isfinite(values)
        if channel is None or not good.any():
            return
        if np.ptp(values[good]) == 0.0:  # one key holds it, and less is copied for each trial
            good = np.arange(len(values)) == good.argmax()
        curve = self._curve(channel)
        keys = curve.keyframe_points
        if len(keys) != good.sum():
            keys.clear()
            keys.add(int(good.sum()))
            keys.foreach_set("interpolation", np.full(len(keys), _LINEAR, dtype=np.int32))
        places = np.stack((self._times[good], values[good]), axis=1)
        keys.foreach_set("co", places.astype(np.float32).ravel())
        curve.update()

    def _curve(self, channel: Channel) -> Any:
        """The channel's F-curve, made at need; Blender 4.5 and later keep it in a slot."""
        action, path = self.action, channel.path
        if hasattr(action, "fcurve_ensure_for_datablock"):
            return action.fcurve_ensure_for_datablock(self._copy, path, index=channel.array_index)
        found = action.fcurves.find(path, index=channel.array_index)
        return found or action.fcurves.new(path, index=channel.array_index)
