# SPDX-License-Identifier: GPL-3.0-or-later
"""How strips, constraints and drivers are set, as numbers: they move what keys alone do not tell.

What plays by itself is left out: an influence that is keyed or driven has another value on each
frame, and tells of itself where its keys or its driver stand.
"""

from collections.abc import Iterator
from typing import Any

import bpy

from .curve_numbers import all_fcurves, each_strip, number_of_curve

# Of strips, and of drivers and constraints: a number that tells how they are set, 0 without any.
Settings = tuple[int, int]
NONE: Settings = (0, 0)

# How a block's own action is laid over its strips.
_LAYING = ("use_nla", "action_influence", "action_blend_type", "action_extrapolation")
_STRIP = (
    "type",
    "mute",
    "frame_start",
    "frame_end",
    "action_frame_start",
    "action_frame_end",
    "scale",
    "repeat",
    "use_reverse",
    "blend_type",
    "blend_in",
    "blend_out",
    "use_auto_blend",
    "extrapolation",
    "use_animated_influence",
    "use_animated_time",
    "use_animated_time_cyclic",
)
# What the strip's own curves play, or what stands there without keys, where these are switched on.
_PLAYED = {"influence": "use_animated_influence", "strip_time": "use_animated_time"}
_TARGET = ("data_path", "bone_target", "transform_type", "transform_space", "rotation_mode")
_VALUES = ("mute", "influence")


def settings_of(block: Any) -> Settings:
    """How a block's strips lie, and how its drivers and constraints are set."""
    others = (*_drivers(block), *_constraints(block))
    return number_of_strips(block), hash(others) if others else 0


def number_of_strips(block: Any) -> int:
    """A number that tells how a block's strips lie, but for the actions in them; 0 without any."""
    data = block.animation_data
    if data is None or not len(data.nla_tracks):
        return 0
    laid = tuple(getattr(data, name) for name in _LAYING)
    tracks = ((track.mute, track.is_solo, _strips(track.strips)) for track in data.nla_tracks)
    return hash((laid, *tracks))


def _strips(strips: Any) -> tuple[Any, ...]:
    return tuple(_strip(each) for each in each_strip(strips))


def _strip(strip: Any) -> tuple[Any, ...]:
    told = [getattr(strip, name) for name in _STRIP]
    keyed = (fcurve for fcurve in strip.fcurves if not fcurve.is_empty)
    curves = {fcurve.data_path: number_of_curve(0, fcurve) for fcurve in keyed}
    for name, switch in _PLAYED.items():
        if getattr(strip, switch):
            told.append(curves[name] if name in curves else getattr(strip, name))
    return tuple(told)


def _drivers(block: Any) -> Iterator[Any]:
    data = block.animation_data
    for fcurve in () if data is None else data.drivers:
        driver = fcurve.driver
        yield (
            number_of_curve(0, fcurve),
            driver.type,
            driver.expression if driver.type == "SCRIPTED" else "",
            driver.use_self,
            *((each.name, each.type, *map(_target, each.targets)) for each in driver.variables),
        )


def _target(target: Any) -> tuple[Any, ...]:
    return (*(getattr(target, name) for name in _TARGET), _number(target.id))


def _constraints(block: Any) -> Iterator[Any]:
    """Of an object and its bones, in the order in which they stand."""
    own, pose = getattr(block, "constraints", ()), getattr(block, "pose", None)
    stacks = [("", own)] if len(own) else []
    for bone in () if pose is None else pose.bones:
        if len(bone.constraints):
            stacks.append((f'pose.bones["{_quoted(bone.name)}"].', bone.constraints))
    played = frozenset(_played_paths(block.animation_data)) if stacks else frozenset()
    for path, stack in stacks:
        for each in stack:
            own = f'{path}constraints["{_quoted(each.name)}"].'
            values = (None if own + name in played else getattr(each, name) for name in _VALUES)
            target = _number(getattr(each, "target", None)), getattr(each, "subtarget", "")
            yield (each.type, *values, *target)


def _played_paths(data: Any) -> Iterator[str]:
    """The paths of constraints' values that keys or drivers play."""
    if data is None:
        return
    players = (data, *(strip for track in data.nla_tracks for strip in each_strip(track.strips)))
    actions = {player.action for player in players if player.action is not None}
    curves = (fcurve for action in actions for _slot, fcurve in all_fcurves(action))
    for fcurve in (*data.drivers, *curves):
        if "constraints[" in fcurve.data_path:
            yield fcurve.data_path


def _quoted(name: str) -> str:
    return bpy.utils.escape_identifier(name)


def _number(block: Any) -> int:
    return 0 if block is None else block.session_uid
