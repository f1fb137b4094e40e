# SPDX-License-Identifier: GPL-3.0-or-later
"""Selects a control and its key, in every version's own place for it."""

from typing import Any

import bpy
import numpy as np

from ...analysis.cause import Cause
from ..sampling.curves import action_fcurves, bone_of, playing_sources
from .key_places import keys_of, path_of, source_of

_PARTS = ("select_control_point", "select_left_handle", "select_right_handle")


def select_key(context: bpy.types.Context, rig: bpy.types.Object, cause: Cause) -> None:
    """Make the rig active and its control and the cause's keys the only ones that are selected.

    A bone is shown in Pose Mode, as only there its curves are listed.
    """
    assert cause.control is not None
    path, _index = path_of(rig, cause.control, cause.channel or "")
    bone = bone_of(path)
    if context.mode == "POSE" and (bone is None or context.object != rig):
        bpy.ops.object.mode_set(mode="OBJECT")
    for item in context.selected_objects:
        item.select_set(False)
    rig.select_set(True)
    context.view_layer.objects.active = rig
    if bone is not None:
        if context.mode != "POSE":
            bpy.ops.object.mode_set(mode="POSE")
        for each in rig.pose.bones:
            # Since 5.0 a pose selects its bones itself.
            owner: Any = each if hasattr(each, "select") else each.bone
            owner.select = each.name == bone
        rig.data.bones.active = rig.data.bones[bone]
    _select(rig, cause)


def _select(rig: bpy.types.Object, cause: Cause) -> None:
    chosen = {(p.fcurve.data_path, p.fcurve.array_index): p.at for p in keys_of(rig, cause)}
    holder = source_of(rig, cause)
    assert holder is not None
    for source in playing_sources(rig):
        # An action may play in several strips, all of which show the same keys.
        here = source.action == holder.action and source.slot == holder.slot
        for fcurve in action_fcurves(source.action, source.slot):
            flags = np.zeros(len(fcurve.keyframe_points), dtype=bool)
            at = chosen.get((fcurve.data_path, fcurve.array_index)) if here else None
            if at is not None:
                flags[at] = True
            fcurve.select = at is not None
            for part in _PARTS:
                fcurve.keyframe_points.foreach_set(part, flags)
