# SPDX-License-Identifier: GPL-3.0-or-later
"""How strips, constraints and drivers are set, as numbers: they move what keys alone do not tell.

What plays by itself is left out: an influence that is keyed or driven has another value on each
frame, and tells of itself where its keys or its driver stand.
"""

from collections.abc import Iterator, Mapping
from functools import cache
from itertools import chain
from operator import attrgetter
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
# Of a constraint: what names and shows it.
_FACES, _TARGETS = frozenset(("active", "name", "rna_type", "show_expanded")), "targets"


def settings_of(block: Any) -> Settings:
    """How a block's strips lie, and how its drivers and constraints are set."""
    others = (*_drivers(block), *_constraints(block))
    return number_of_strips(block), hash(others) if others else 0


def number_of_strips(block: Any) -> int:
    """A number that tells how a block's strips lie, but for the actions in them; 0 without any."""
    data = block.animation_data
    tracks = () if data is None else tuple(data.nla_tracks)
    # An empty one plays nothing, but that it silences the others where it alone is to play.
    lying = [track for track in tracks if len(track.strips) or track.is_solo]
    if data is None or not lying:
        return 0
    laid = tuple(getattr(data, name) for name in _LAYING)
    return hash((laid, *((each.mute, each.is_solo, _strips(each.strips)) for each in lying)))


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
    played = _played_settings(block.animation_data) if stacks else {}
    for path, stack in stacks:
        for each in stack:
            own = played.get(f'{path}constraints["{_quoted(each.name)}"]', frozenset())
            yield (each.type, *_settings_of(each, own))


def _settings_of(constraint: Any, played: frozenset[str]) -> Iterator[Any]:
    """All that a constraint is told and that nothing plays."""
    kind: Any = type(constraint)
    plain, others = _names_of(kind)
    if played:
        told = (name for name in (*plain, *others) if name not in played)
        return ((name, _value(getattr(constraint, name))) for name in told)
    values = attrgetter(*plain)(constraint)  # of many bones there are many
    return chain(values, (_value(getattr(constraint, name)) for name in others))


@cache
def _names_of(kind: Any) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What a kind of constraint is told: the names of plain values, and of others."""
    every = [
        each
        for each in kind.bl_rna.properties
        if each.identifier not in _FACES and (each.identifier == _TARGETS or not each.is_readonly)
    ]
    others = [
        each.identifier
        for each in every
        if each.type in ("POINTER", "COLLECTION") or getattr(each, "is_array", False)
    ]
    return tuple(e.identifier for e in every if e.identifier not in others), tuple(others)


def _value(value: Any) -> Any:
    """A setting as a value to compare."""
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    if isinstance(value, bpy.types.ID):
        return value.session_uid
    if hasattr(value, "handle"):  # an action's slot
        return value.handle
    if hasattr(value, "subtarget"):  # one of several targets
        return _number(value.target), value.subtarget, value.weight
    return tuple(_value(each) for each in value)  # vectors, matrices, several targets


def _played_settings(data: Any) -> Mapping[str, frozenset[str]]:
    """By the path of a constraint, what of it keys or drivers play."""
    if data is None:
        return {}
    players = (data, *(strip for track in data.nla_tracks for strip in each_strip(track.strips)))
    actions = {player.action for player in players if player.action is not None}
    curves = (fcurve for action in actions for _slot, fcurve in all_fcurves(action))
    found: dict[str, frozenset[str]] = {}
    for fcurve in (*data.drivers, *curves):
        path = fcurve.data_path
        if "constraints[" in path:
            own, _dot, name = path.rpartition(".")
            found[own] = found.get(own, frozenset()) | {name}
    return found


def _quoted(name: str) -> str:
    return bpy.utils.escape_identifier(name)


def _number(block: Any) -> int:
    return 0 if block is None else block.session_uid
