# SPDX-License-Identifier: GPL-3.0-or-later
"""From a clip's root to a sphere that follows it: one linear key a frame."""

from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...analysis import Clip, PlumblineError, Settings
from ...analysis.basis import build_basis
from ..sampling.curves import action_fcurves
from ..sampling.scene_facts import metres_per_unit, time_stretch
from .moved import refuse_moved
from .ours import SPHERE_OF, is_ours, make_sphere, remove_unused, sphere_of

# A ball of this radius, in heights of the character, is about as wide as the hips.
RADIUS_SHARE = 0.08
# Blender's codes for linear keys and for handles that do not overshoot.
_LINEAR, _AUTO_CLAMPED = 1, 4


@dataclass(frozen=True, eq=False)
class RootPath:
    """Where the root is: its joint, frames (T,), positions (T,3), a radius that fits; metres."""

    joint: str
    frames: Any
    positions: Any
    radius_m: float


def root_path(clip: Clip) -> RootPath:
    """The path of the joint that carries the body; raises PlumblineError where none is known."""
    basis = build_basis(clip, Settings())
    parts = basis.roles.parts
    joints = parts.get("root") or parts.get("pelvis")
    if not joints:
        raise PlumblineError(
            f"no root was found in {clip.meta.name!r}, expected a control or bone that carries "
            "the body: name it so that it is known, such as torso, hips or pelvis."
        )
    joint = clip.joint(joints[0])
    return RootPath(
        joint=joints[0],
        frames=clip.frames,
        positions=clip.positions[:, joint],
        radius_m=RADIUS_SHARE * basis.height.scene_m,
    )


def refuse_linked(scene: bpy.types.Scene) -> None:
    """Raise PlumblineError for a scene in which nothing that is made would stay."""
    if not scene.is_editable:
        raise PlumblineError(
            f"the scene {scene.name!r} is linked from another file, expected one of this file: "
            "open that file, or make the scene local."
        )


def bake_sphere(
    scene: bpy.types.Scene, rig: bpy.types.Object, path: RootPath
) -> tuple[bpy.types.Object, bool]:
    """Let the rig's sphere follow a path; returns it, and whether it was there before.

    Keys hold float32 in Blender units: within 1e-6 m of the path up to 16 m from the origin, and
    within a ten-millionth of the distance beyond. The keys of a sphere that was there are
    replaced, all else of it is kept.
    """
    sphere = sphere_of(scene, rig)
    known = sphere is not None
    unit = metres_per_unit(scene)
    if sphere is None:
        sphere = make_sphere(scene, rig, path.radius_m / unit)
    refuse_moved(sphere)
    places = path.positions / unit
    _put_aside_action(sphere)
    _write_action(sphere, path.frames / time_stretch(scene), places)
    now = np.clip(scene.frame_current - path.frames[0], 0, len(places) - 1)
    sphere.location = places[int(now)]
    return sphere, known


def _put_aside_action(sphere: bpy.types.Object) -> None:
    """Take the sphere's action off: an older one of ours goes, one of the user's is kept."""
    data = sphere.animation_data_create()
    old = data.action
    data.action = None
    if old is None or old.users:
        return
    if is_ours(old):
        remove_unused(old)
    else:
        old.use_fake_user = True


def _write_action(sphere: bpy.types.Object, frames: Any, places: Any) -> None:
    """Key (T,) frames of the action's time with places (T,3) in Blender units."""
    action = bpy.data.actions.new(sphere.name)
    action[SPHERE_OF] = sphere[SPHERE_OF]
    sphere.animation_data.action = action
    count = len(frames)
    for axis in range(3):
        keys = _new_curve(sphere, action, axis).keyframe_points
        keys.add(count)
        keys.foreach_set(
            "co", np.stack((frames, places[:, axis]), axis=1).astype(np.float32).ravel()
        )
        for name, code in (
            ("interpolation", _LINEAR),
            ("handle_left_type", _AUTO_CLAMPED),
            ("handle_right_type", _AUTO_CLAMPED),
        ):
            keys.foreach_set(name, np.full(count, code, dtype=np.int32))
    # This moves the keys in memory, so it comes last.
    for curve in action_fcurves(action, getattr(sphere.animation_data, "action_slot", None)):
        curve.update()


def _new_curve(sphere: bpy.types.Object, action: bpy.types.Action, axis: int) -> Any:
    if hasattr(action, "fcurve_ensure_for_datablock"):  # actions got slots in 4.4
        return action.fcurve_ensure_for_datablock(sphere, "location", index=axis)
    return action.fcurves.new("location", index=axis, action_group=sphere.name)
