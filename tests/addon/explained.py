# SPDX-License-Identifier: GPL-3.0-or-later
"""A checked biped whose finding has a cause that is made up, for tests of panel and mends."""

from dataclasses import replace

import bpy
import rigs
from drawn import fresh_session

from analysis.cause import Cause, KeyEdit

NOD = 'pose.bones["head"].rotation_euler'


def cause_of(rig, **changes):
    """The key of the head's nod at frame 20, in the action that plays, or in its only strip."""
    data = rig.animation_data
    strip = None if data.action else data.nla_tracks[0].strips[0]
    values = {
        "control": "head",
        "channel": "rotation_euler",
        "share": 0.72,
        "why": "linear key",
        "data_path": NOD,
        "action": (data.action or strip.action).name,
        "strip": strip and strip.name,
        "frame": 20.0 if strip is None else strip.frame_start + 19.0 * strip.scale,
        "action_frame": 20.0,
        "mend": "smooth",
    }
    return Cause(**{**values, **changes})


def edit(channel, before, after, **changes):
    values = {"control": "head", "channel": channel, "frame": 20.0}
    return KeyEdit(**{**values, **changes}, before=before, after=after)


def curve_of(rig, path=NOD, index=0):
    """The F-curve in the action that plays, or in the only strip's."""
    data = rig.animation_data
    strip = None if data.action else data.nla_tracks[0].strips[0]
    action = data.action or strip.action
    slot = getattr(strip or data, "action_slot", None)
    bag = action.fcurves if slot is None else action.layers[0].strips[0].channelbag(slot).fcurves
    return next(c for c in bag if (c.data_path, c.array_index) == (path, index))


def keys_of(curve):
    return [(round(key.co.x, 3), round(key.co.y, 4)) for key in curve.keyframe_points]


def explained(ext, **changes):
    """The session after a check of a biped, and its rig; the first finding's cause is told."""
    session = fresh_session(ext)
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.ops.plumbline.check()
    tell(ext, [[cause_of(rig, **changes)]])
    return session, rig


def tell(ext, causes, **changes):
    """Give the findings of the last check causes, in their order, and the first one changes."""
    shot = ext.addon.ui.last_check.last_check().examination.shot
    told = [
        replace(finding, causes=tuple(each))
        for finding, each in zip(shot.findings, causes, strict=True)
    ]
    told[0] = replace(told[0], **changes)
    session = bpy.context.window_manager.plumbline
    ext.addon.ui.causes_session.store_causes(session, replace(shot, findings=tuple(told)))
