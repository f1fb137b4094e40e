# SPDX-License-Identifier: GPL-3.0-or-later
"""The ball's path by its own F-curves, as they are now: nothing is stepped."""

from collections.abc import Sequence
from typing import Any

import bpy
import numpy as np
from mathutils import Euler, Quaternion, Vector

from ...analysis import PlumblineError
from ...analysis import quaternions as quat
from ..sampling.curves import action_fcurves
from ..sampling.scene_facts import metres_per_unit, time_stretch
from .moved import own_constraints, refuse_moved

# Scene frames (T,), an array as well.
Frames = Sequence[float] | Any
_EULER, _QUATERNION, _AXIS_ANGLE = "rotation_euler", "rotation_quaternion", "rotation_axis_angle"


def ball_path(scene: bpy.types.Scene, sphere: bpy.types.Object, frames: Frames) -> Any:
    """(T,3) float64 where a ball's keys put it on scene frames (T,), scene metres.

    A channel without keys stays as it is set. Raises PlumblineError for a ball that follows its
    rig, which has no keys, and for one that more than its keys moves.
    """
    _refuse_without_keys(sphere)
    return metres_per_unit(scene) * _values(scene, sphere, "location", frames)


def ball_turns(scene: bpy.types.Scene, sphere: bpy.types.Object, frames: Frames) -> Any:
    """(T,4) unit quaternions w, x, y, z of a ball on scene frames (T,), signs continuous.

    In whichever rotation mode it is. Raises PlumblineError as `ball_path` does.
    """
    _refuse_without_keys(sphere)
    mode = sphere.rotation_mode
    if mode == "QUATERNION":
        turns = _values(scene, sphere, _QUATERNION, frames)
    elif mode == "AXIS_ANGLE":
        told = _values(scene, sphere, _AXIS_ANGLE, frames)
        turns = np.array([Quaternion(Vector(row[1:]), row[0]) for row in told])
    else:
        told = _values(scene, sphere, _EULER, frames)
        turns = np.array([Euler(row, mode).to_quaternion() for row in told])
    return quat.continuous(quat.normalise(turns.reshape(-1, 4)))


def key_frames(
    scene: bpy.types.Scene, sphere: bpy.types.Object, *, rotation: bool = False
) -> list[float]:
    """The scene frames of a ball's location keys, those of its rotation as well where asked."""
    meant = ("location", _EULER, _QUATERNION, _AXIS_ANGLE) if rotation else ("location",)
    stretch = time_stretch(scene)
    found = {
        round(stretch * point.co.x, 4)
        for fcurve in ball_curves(sphere)
        if fcurve.data_path in meant
        for point in fcurve.keyframe_points
    }
    return sorted(found)


def ball_curves(sphere: bpy.types.Object) -> list[Any]:
    """The F-curves of a ball's own action; none without one."""
    data: Any = sphere.animation_data
    if data is None or data.action is None:
        return []
    return action_fcurves(data.action, getattr(data, "action_slot", None))


def _values(scene: bpy.types.Scene, sphere: bpy.types.Object, name: str, frames: Frames) -> Any:
    """(T,N) a property of N numbers on scene frames, in Blender units."""
    times = np.asarray(frames, dtype=np.float64) / time_stretch(scene)
    found = np.tile(np.array(getattr(sphere, name), dtype=np.float64), (len(times), 1))
    for fcurve in ball_curves(sphere):
        plays = not fcurve.mute and not (fcurve.group is not None and fcurve.group.mute)
        if fcurve.data_path == name and plays and not fcurve.is_empty:
            found[:, fcurve.array_index] = [fcurve.evaluate(time) for time in times]
    return found


def _refuse_without_keys(sphere: bpy.types.Object) -> None:
    if own_constraints(sphere):
        raise PlumblineError(
            f"{sphere.name!r} follows its rig and has no keys of its own, expected a baked ball: "
            "press Bake first."
        )
    refuse_moved(sphere)
