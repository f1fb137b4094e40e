# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball that follows its point, live and read-only: constraints alone move it."""

from typing import Any

import bpy

from ..sampling.scene_facts import is_rig, metres_per_unit
from .edited import set_aside_edited
from .facts import COM, FOLLOW, KIND, BonePoint, follows, forget_bake, keep_place
from .keys import take_keys_off
from .moved import OURS, own_constraints, refuse_moved
from .named import ball_name, name_ball
from .ours import make_sphere, sphere_of
from .point import Point
from .upright import place_uprights


def follow_point(
    scene: bpy.types.Scene, rig: bpy.types.Object, point: Point, *, rotation: bool = False
) -> tuple[bpy.types.Object, bool, str]:
    """Let the rig's ball follow a point; returns it, whether it had keys, and the action that
    keeps these where they were edited; else empty.

    Of several points the mean is followed: each constraint goes a share of the way from the mean of
    those before it. Raises PlumblineError where something else moves the ball.
    """
    sphere = sphere_of(scene, rig)
    if sphere is None:
        sphere = make_sphere(
            scene, rig, ball_name(rig, point), point.radius_m / metres_per_unit(scene)
        )
    refuse_moved(sphere)
    follow_no_longer(sphere)
    kept = set_aside_edited(sphere)
    had_keys = take_keys_off(sphere)
    name_ball(scene, sphere, ball_name(rig, point))
    sum_of_shares = 0.0
    for each in point.where.points:
        sum_of_shares += each.share
        _copy_location(sphere, rig, each, each.share / sum_of_shares)
    turns = rotation and point.where.what != COM
    if turns:
        _copy(sphere, rig, "COPY_ROTATION", point.where.points[0].bone)
    sphere.show_axis = turns
    _lock(sphere, True)
    forget_bake(sphere)
    keep_place(sphere, point)
    sphere[KIND] = FOLLOW
    place_uprights(scene, sphere, point.frames, point.positions)
    return sphere, had_keys, kept


def follow_no_longer(sphere: bpy.types.Object) -> None:
    """Take off what makes a ball follow; it may be moved again."""
    for constraint in own_constraints(sphere):
        sphere.constraints.remove(constraint)
    if follows(sphere):
        _lock(sphere, False)
        del sphere[KIND]


def _copy_location(
    sphere: bpy.types.Object, rig: bpy.types.Object, point: BonePoint, share: float
) -> None:
    made = _copy(sphere, rig, "COPY_LOCATION", point.bone)
    if point.bone:
        made.head_tail = point.at
    made.influence = share


def _copy(sphere: bpy.types.Object, rig: bpy.types.Object, kind: Any, bone: str) -> Any:
    made: Any = sphere.constraints.new(kind)
    made.name = f"{OURS} {bone or rig.name}"
    made.target = rig
    made.show_expanded = False  # or Blender draws a line to each bone
    if bone and is_rig(rig):
        made.subtarget = bone
    return made


def _lock(sphere: bpy.types.Object, locked: bool) -> None:
    """Against moving it by hand, which would do nothing."""
    sphere.lock_location = sphere.lock_rotation = (locked,) * 3
    sphere.lock_rotation_w = locked
