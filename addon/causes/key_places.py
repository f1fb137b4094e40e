# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the key of a cause is: in which action and slot, on which curves, which of their keys."""

import re
from dataclasses import dataclass
from typing import Any

import bpy

from ...analysis.cause import Cause, channel_text
from ..sampling.curves import Source, action_fcurves, object_control, playing_sources

# Blender holds frames as float32.
SAME_FRAME = 5e-3
_FOUR = ("rotation_quaternion", "rotation_axis_angle")
_THREE = ("location", "rotation_euler", "scale")
_PLACE = re.compile(r"^(.*)\[(\d+)\]$")


@dataclass(frozen=True)
class KeyPlace:
    """A key: the curve that holds it and its number there, which holds until the curve changes.

    named   the curve in words, as `torso, location z`
    """

    fcurve: Any
    at: int
    named: str

    @property
    def key(self) -> Any:
        """The key itself; not to be kept, as a curve that is updated moves its keys in memory."""
        return self.fcurve.keyframe_points[self.at]


def source_of(rig: bpy.types.Object, cause: Cause) -> Source | None:
    """The action that plays, by itself or in a strip, and holds a cause's key; None if gone."""
    for source in playing_sources(rig):
        if source.action.name == cause.action and source.strip == cause.strip:
            return source
    return None


def keys_of(rig: bpy.types.Object, cause: Cause) -> list[KeyPlace]:
    """The keys of a cause, one a channel; empty where they are gone or it names none."""
    source = source_of(rig, cause)
    if source is None or cause.control is None or not cause.channel or cause.action_frame is None:
        return []
    return keys_at(rig, source, cause.control, cause.channel, cause.action_frame)


def keys_at(
    rig: bpy.types.Object, source: Source, control: str, channel: str, action_frame: float
) -> list[KeyPlace]:
    """The keys on a frame of the action, of one channel or of a group such as `location`."""
    path, index = path_of(rig, control, channel)
    places = []
    for fcurve in action_fcurves(source.action, source.slot):
        if fcurve.data_path == path and index in (None, fcurve.array_index):
            at = _number(fcurve, action_frame)
            if at is not None:
                named = f"{control}, {_channel_words(channel, fcurve.array_index)}"
                places.append(KeyPlace(fcurve, at, named))
    return places


def _channel_words(channel: str, index: int) -> str:
    group = channel.partition(".")[0]
    axes = "wxyz" if group in _FOUR else "xyz" if group in _THREE else ""
    return " ".join(each for each in (channel_text(group), axes[index : index + 1]) if each)


def _number(fcurve: Any, frame: float) -> int | None:
    for at, key in enumerate(fcurve.keyframe_points):
        if abs(key.co.x - frame) < SAME_FRAME:
            return at
    return None


def path_of(rig: bpy.types.Object, control: str, channel: str) -> tuple[str, int | None]:
    """Blender's data path of a control's channel, and its place there; None for all of a group."""
    prop, index = _split(channel)
    if control == object_control(rig) or rig.pose is None or control not in rig.pose.bones:
        return prop, index
    dot = "" if prop.startswith("[") else "."
    return f'pose.bones["{bpy.utils.escape_identifier(control)}"]{dot}{prop}', index


def _split(channel: str) -> tuple[str, int | None]:
    """(`location`, 2) of `location.z`, (`["tail"]`, 0) of `["tail"][0]`, else all of it."""
    prop, _dot, axis = channel.rpartition(".")
    if prop in _THREE and axis in tuple("xyz"):
        return prop, "xyz".index(axis)
    if prop in _FOUR and axis in tuple("wxyz"):
        return prop, "wxyz".index(axis)
    match = _PLACE.match(channel)
    return (match[1], int(match[2])) if match else (channel, None)
