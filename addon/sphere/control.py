# SPDX-License-Identifier: GPL-3.0-or-later
"""Which control of a rig moves a point of it, and on which frames that control has keys."""

from typing import Any

import bpy

from ...analysis import Clip
from ...analysis.curves import Curve
from ..sampling.curves import bone_of, object_control

_LOCATION = "location"


def control_of(rig: bpy.types.Object, clip: Clip, joint: str, root: str) -> str:
    """The pose bone whose location moves a joint; empty for the object itself.

    The root's own control where it has location keys; else the joint's; else, of what else is
    keyed and moves the joint, that which moves the fewest others; else the object, where that is
    keyed; else, without any keys, the root's, or the joint's where that can be moved alone.
    """
    if rig.pose is None:
        return ""
    own = [curve for curve in clip.meta.curves if not curve.owner and _moves(curve)]
    located = {
        curve.control: curve
        for curve in own
        if bone_of(curve.data_path) is not None and _is_free(rig, curve.control)
    }
    for name in (root, joint):
        if name in located and (name == joint or joint in located[name].drives):
            return name
    driving = [curve for curve in located.values() if joint in curve.drives]
    if driving:
        return min(driving, key=lambda curve: len(curve.drives)).control
    if any(bone_of(curve.data_path) is None for curve in own):
        return ""
    return next((name for name in (root, joint) if _is_free(rig, name)), "")


def keyed_frames(rig: bpy.types.Object, clip: Clip, control: str) -> tuple[float, ...]:
    """Scene frames on which a control has location keys; without any, keys of another kind."""
    name = control or object_control(rig)
    own = [
        curve
        for curve in clip.meta.curves
        if not curve.owner
        and curve.control == name
        and bool(bone_of(curve.data_path)) == bool(control)
    ]
    meant = [curve for curve in own if _moves(curve)] or own
    return tuple(sorted({frame for curve in meant for frame in curve.frames}))


def _moves(curve: Curve) -> bool:
    return curve.channel.startswith(_LOCATION)


def _is_free(rig: bpy.types.Object, bone: str) -> bool:
    """Whether a bone's location does anything: that of one that hangs on another's tip does not."""
    posed: Any = rig.pose.bones.get(bone)
    return posed is not None and not (posed.bone.use_connect and posed.parent is not None)
