# SPDX-License-Identifier: GPL-3.0-or-later
"""Selects a control and its key, in every version's own place for it."""

from collections.abc import Sequence
from typing import Any

import bpy
import numpy as np

from ...analysis.cause import Cause
from ..sampling.curves import Source, action_fcurves, bone_of, playing_sources
from .key_places import KeyPlace, keys_of, path_of, source_of

_PARTS = ("select_control_point", "select_left_handle", "select_right_handle")


def select_key(context: bpy.types.Context, rig: bpy.types.Object, cause: Cause) -> None:
    """Make the rig active and its control and the cause's keys the only ones that are selected.

    A bone is shown in Pose Mode, as only there its curves are listed.
    """
    assert cause.control is not None
    path, _index = path_of(rig, cause.control, cause.channel or "")
    select_control(context, rig, bone_of(path))
    source = source_of(rig, cause)
    assert source is not None
    select_keys(rig, source, keys_of(rig, cause))


def select_control(context: bpy.types.Context, owner: bpy.types.Object, bone: str | None) -> None:
    """Make an object active and the only one that is selected; of a rig, a bone in Pose Mode."""
    if context.mode == "POSE" and (bone is None or context.object != owner):
        bpy.ops.object.mode_set(mode="OBJECT")
    for item in context.selected_objects:
        item.select_set(False)
    owner.select_set(True)
    context.view_layer.objects.active = owner
    if bone is not None:
        if context.mode != "POSE":
            bpy.ops.object.mode_set(mode="POSE")
        for each in owner.pose.bones:
            # Since 5.0 a pose selects its bones itself.
            holder: Any = each if hasattr(each, "select") else each.bone
            holder.select = each.name == bone
        owner.data.bones.active = owner.data.bones[bone]


def select_keys(
    owner: bpy.types.Object, holder: Source | None, places: Sequence[KeyPlace] = ()
) -> None:
    """Make some keys of a source the only ones that are selected of what plays on an object.

    The strip that plays them, and its track, are selected in the NLA editor. Without a source
    nothing of it stays selected.
    """
    chosen = {(p.fcurve.data_path, p.fcurve.array_index): p.at for p in places}
    for source in playing_sources(owner):
        # An action may play in several strips, all of which show the same keys.
        here = holder is not None and (source.action, source.slot) == (holder.action, holder.slot)
        for fcurve in action_fcurves(source.action, source.slot):
            flags = np.zeros(len(fcurve.keyframe_points), dtype=bool)
            at = chosen.get((fcurve.data_path, fcurve.array_index)) if here else None
            if at is not None:
                flags[at] = True
            fcurve.select = at is not None
            for part in _PARTS:
                fcurve.keyframe_points.foreach_set(part, flags)
    _select_strip(owner, holder)


def _select_strip(owner: bpy.types.Object, holder: Source | None) -> None:
    """A strip is named by its name and its action, as causes name it."""
    data = owner.animation_data
    if data is None:
        return
    for track in data.nla_tracks:
        held = [_select_of(strip, holder) for strip in track.strips]
        track.select = any(held)
        # While a strip is tweaked, its track stays the active one, or its keys would not play.
        if any(held) and not data.use_tweak_mode:
            data.nla_tracks.active = track


def _select_of(strip: Any, holder: Source | None) -> bool:
    """Select a strip where it, or one inside of it, is meant."""
    inside = [_select_of(each, holder) for each in strip.strips]
    is_it = (
        holder is not None
        and holder.strip == strip.name
        and strip.action == holder.action
        and getattr(strip, "action_slot", None) == holder.slot
    )
    strip.select = is_it or any(inside)
    return bool(strip.select)
