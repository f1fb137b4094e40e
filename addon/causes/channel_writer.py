# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes the final values of keyed channels into a rig that nothing animates."""

import re
from collections.abc import Sequence
from typing import Any

import bpy
import numpy as np

from ..sampling.channels import AT_ONCE, Channel

# `owner["name"]`, a custom property, or `owner.name`; the last one in a path.
_CUSTOM = re.compile(r'^(.*)\["((?:[^"\\]|\\.)*)"\]$')
# What would keep a copy from being evaluated says nothing about how it is posed.
_NOT_WRITTEN = ("hide_viewport", "hide_render", "hide_select")


class ChannelWriter:
    """Call `write` before a frame is evaluated.

    channels   where each channel lives; names (K,) the columns of the values that are written.
               Channels that have no column keep what the rig shows now.
    """

    def __init__(
        self, rig: bpy.types.Object, channels: Sequence[Channel], names: Sequence[str]
    ) -> None:
        self._rig = rig
        column = {name: k for k, name in enumerate(names)}
        told = [(column[each.name], each) for each in channels if each.name in column]
        self._at_once = []
        for prop, width in AT_ONCE.items():
            found = [(k, each.index) for k, each in told if each.prop == prop]
            if found:
                flat = np.zeros(len(rig.pose.bones) * width, dtype=np.float32)
                rig.pose.bones.foreach_get(prop, flat)
                columns, places = map(list, zip(*found, strict=True))
                self._at_once.append((prop, flat, columns, places))
        self._single = [
            (k, _Single(rig, each))
            for k, each in told
            if each.prop is None and each.path not in _NOT_WRITTEN
        ]

    def write(self, values: Any) -> None:
        """Give the rig values (K,); one that is no number is left as it was before."""
        for prop, flat, columns, places in self._at_once:
            new = values[columns]
            flat[places] = np.where(np.isfinite(new), new, flat[places])
            self._rig.pose.bones.foreach_set(prop, flat)
        for k, single in self._single:
            if np.isfinite(values[k]):
                single.write(float(values[k]))
        # Written in bulk or by key, values are not seen before the rig is said to have changed.
        self._rig.update_tag(refresh={"OBJECT", "DATA"})


class _Single:
    """One channel at a path: a property, an item of an array, or a custom property."""

    def __init__(self, rig: bpy.types.Object, channel: Channel) -> None:
        custom = _CUSTOM.match(channel.path)
        if custom:
            owner, self._name = custom[1], bpy.utils.unescape_identifier(custom[2])
        else:
            owner, _dot, self._name = channel.path.rpartition(".")
        self._owner: Any = rig.path_resolve(owner) if owner else rig
        self._custom, self._index = bool(custom), channel.index

    def _get(self) -> Any:
        return self._owner[self._name] if self._custom else getattr(self._owner, self._name)

    def write(self, value: float) -> None:
        now = self._get()
        if hasattr(now, "__len__"):
            now[self._index] = _like(now[self._index], value)
        elif self._custom:
            self._owner[self._name] = _like(now, value)
        else:
            setattr(self._owner, self._name, _like(now, value))


def _like(before: Any, value: float) -> Any:
    """A value of the kind that a property holds."""
    if isinstance(before, bool):
        return value >= 0.5
    return round(value) if isinstance(before, int) else value
