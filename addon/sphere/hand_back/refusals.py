# SPDX-License-Identifier: GPL-3.0-or-later
"""Why a ball cannot be handed back, told before anything is tried."""

from collections.abc import Iterator
from typing import Any

import bpy

from ....analysis import PlumblineError
from ...sampling.curves import action_fcurves, playing_sources
from ...sampling.scene_facts import check_posed
from ..facts import COM
from .control import Control, turning
from .home import ACTION, STRIP


def refuse(rig: bpy.types.Object, control: Control, into: str, *, turned: bool) -> None:
    """Raise PlumblineError, one sentence, where keys of the control would not do or not play."""
    if turned and control.what == COM:
        raise PlumblineError(
            "the ball stands for the centre of mass, which has no turn, expected a ball on a "
            "control: hand it back without rotation."
        )
    check_posed(rig)
    names = ["location", *([turning(control.of(rig))] if turned else [])]
    for why in _whys(rig, control, names, into):
        raise PlumblineError(why)


def why_never(rig: bpy.types.Object, control: Control, into: str) -> str:
    """Why a ball on this control cannot be handed back whatever its keys become, or empty."""
    whys = [
        *_linked(rig),
        *_locked(rig, control, ["location"]),
        *_driven(rig, control, ["location"]),
    ]
    data: Any = rig.animation_data
    if into == ACTION and data is not None:
        whys += _linked_action(data.action)
    return whys[0] if whys else ""


def _whys(rig: Any, control: Control, names: list[str], into: str) -> Iterator[str]:
    yield from _linked(rig)
    yield from _locked(rig, control, names)
    yield from _driven(rig, control, names)
    data = rig.animation_data
    if data is None:
        return
    if data.use_tweak_mode:
        yield (
            f"a strip of {rig.name!r} is being tweaked, expected its strips at rest: leave tweak "
            "mode (Tab in the NLA editor) first."
        )
    paths = [control.path(name) for name in names]
    yield from (_in_action if into == ACTION else _in_strip)(rig, data, control, paths)


def _linked(rig: Any) -> Iterator[str]:
    if not rig.is_editable or (rig.override_library and rig.override_library.is_system_override):
        yield (
            f"{rig.name!r} is linked from another file, expected a rig of this file or an editable "
            "override of it: make a library override, or hand back in that file."
        )


def _locked(rig: Any, control: Control, names: list[str]) -> Iterator[str]:
    holder = control.of(rig)
    locks = {"location": [*holder.lock_location]}
    locks["rotation"] = [*holder.lock_rotation]
    if holder.lock_rotations_4d or holder.rotation_mode in ("QUATERNION", "AXIS_ANGLE"):
        locks["rotation"].append(holder.lock_rotation_w and holder.lock_rotations_4d)
    for name in names:
        what = name.partition("_")[0]
        axes = [axis for axis, lock in zip("XYZW", locks[what], strict=False) if lock]
        if axes:
            yield (
                f"the {what} of {control.told!r} is locked on {' and '.join(axes)}, expected all "
                "of it free: unlock it in the sidebar (Item), or put the ball on another control."
            )
    if control.bone and holder.bone.use_connect and holder.parent is not None:
        yield (
            f"{control.told!r} is connected to {holder.parent.name!r}, which leaves it no location "
            "of its own, expected a control that its own keys move: put the ball on another one."
        )


def _driven(rig: Any, control: Control, names: list[str]) -> Iterator[str]:
    data = rig.animation_data
    for curve in data.drivers if data is not None else ():
        for name in names:
            if curve.data_path == control.path(name) and not curve.mute:
                yield (
                    f"the {name.partition('_')[0]} of {control.told!r} is driven, expected keys "
                    "alone to move it: mute that driver, or put the ball on another control."
                )


def _linked_action(action: Any) -> Iterator[str]:
    if action is not None and (not action.is_editable or action.override_library is not None):
        yield (
            f"the action {action.name!r} is linked from another file, expected one of this file: "
            "take a new strip instead."
        )


def _in_action(rig: Any, data: Any, control: Control, paths: list[str]) -> Iterator[str]:
    action, slot = data.action, getattr(data, "action_slot", None)
    yield from _linked_action(action)
    layered = data.use_nla and len(data.nla_tracks)
    if layered and any(track.is_solo for track in data.nla_tracks):
        yield (
            f"a track of {rig.name!r} plays solo, so its active action does not play, expected no "
            "solo track: take the star off it first."
        )
    if layered and (data.action_blend_type != "REPLACE" or data.action_influence != 1.0):
        yield (
            f"the active action of {rig.name!r} blends with what is below "
            f"({data.action_blend_type.capitalize()}, influence {data.action_influence:.2g}), "
            "expected Replace at influence 1: set that in the NLA editor, or take a new strip "
            "instead."
        )
    curves = [] if action is None else action_fcurves(action, slot)
    mine = [curve for curve in curves if curve.data_path in paths]
    there = {curve.data_path for curve in mine}
    for source in playing_sources(rig):
        if source.strip is None:
            continue
        played = {each.data_path for each in action_fcurves(source.action, source.slot)}
        if any(path in played and path not in there for path in paths):
            yield (
                f"{control.told!r} is moved by the strip {source.strip!r}, expected keys in the "
                "active action: take a new strip instead, which plays on top of it."
            )
    for curve in mine:
        yield from _unfit(curve, control)


def _unfit(curve: Any, control: Control) -> Iterator[str]:
    name = f"the location of {control.told!r}"
    if "rotation" in curve.data_path.rpartition(".")[2]:
        name = f"the rotation of {control.told!r}"
    if curve.lock or (curve.group is not None and curve.group.lock):
        yield f"a curve of {name} is locked, expected curves that may change: unlock it first."
    if curve.mute or (curve.group is not None and curve.group.mute):
        yield f"a curve of {name} is muted, expected curves that play: unmute it first."
    odd = [each for each in curve.modifiers if not each.mute and each.type != "CYCLES"]
    if odd:
        kind = odd[0].type.replace("_", " ").capitalize()
        yield (
            f"a curve of {name} has a modifier ({kind}), expected keys alone: apply or mute it, or "
            "take a new strip instead."
        )
    if curve.sampled_points and not len(curve.keyframe_points):
        yield (
            f"a curve of {name} is baked into samples, expected keys: convert it to keys, or take "
            "a new strip instead."
        )


def _in_strip(rig: Any, data: Any, _control: Control, _paths: list[str]) -> Iterator[str]:
    if not data.use_nla:
        yield (
            f"the NLA strips of {rig.name!r} are switched off, expected them to play: switch them "
            f"on in the NLA editor, or hand back into the action instead of a {STRIP.lower()}."
        )
    if any(track.is_solo for track in data.nla_tracks):
        yield (
            f"a track of {rig.name!r} plays solo, so a new strip would not play, expected no solo "
            "track: take the star off it first."
        )
