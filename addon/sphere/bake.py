# SPDX-License-Identifier: GPL-3.0-or-later
"""From the path of a point to a ball with keys of its own: one a frame, or as few as it takes."""

from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...analysis import PlumblineError
from ...analysis.ball.thin import thin
from ..sampling.key_text import key_text
from ..sampling.scene_facts import metres_per_unit, time_stretch
from .edited import note_keys, set_aside_edited
from .facts import follows, forget_bake, keep_path, keep_place
from .following import follow_no_longer
from .keys import Keys, write_keys
from .moved import refuse_moved
from .named import ball_name, name_ball
from .ours import make_sphere, sphere_of
from .path import ball_path, key_frames
from .point import Point
from .upright import place_uprights

_TURN = "rotation_quaternion"
# Keys hold float32, so no path is asked to be truer than that.
_ROUNDED = 2.0**-23
_THROUGHOUT = 0.75


@dataclass(frozen=True, eq=False)
class Baked:
    """A ball with its keys: how many frames have some, and how far it is off on the worst frame,
    metres; was_there: whether it was, and followed: whether it followed its rig until now; kept:
    the action that holds its older keys where these were edited."""

    sphere: bpy.types.Object
    keys: int
    off_m: float
    was_there: bool
    followed: bool
    kept: str = ""


def refuse_linked(scene: bpy.types.Scene) -> None:
    """Raise PlumblineError for a scene in which nothing that is made would stay."""
    if not scene.is_editable:
        raise PlumblineError(
            f"the scene {scene.name!r} is linked from another file, expected one of this file: "
            "open that file, or make the scene local."
        )


def bake_sphere(
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    point: Point,
    *,
    error_m: float | None = None,
    rotation: bool = False,
) -> Baked:
    """Give the rig's ball the path of a point, as keys of its own.

    error_m    keys where the control has some, unless it has them nearly everywhere, and where it
               takes more to stay within this many metres on every frame; None: a linear key a frame
    rotation   the ball turns as the point does; the error holds for its surface then, as well

    Keys hold float32 in Blender units: within 1e-6 m of the path up to 16 m from the origin, and
    within a ten-millionth of the distance beyond. The keys of a ball that was there are replaced;
    where they were edited, their action is kept, and so is all else of the ball. Raises
    PlumblineError for one that something else moves.
    """
    sphere = sphere_of(scene, rig)
    was_there, unit = sphere is not None, metres_per_unit(scene)
    if sphere is None:
        sphere = make_sphere(scene, rig, ball_name(rig, point), point.radius_m / unit)
    refuse_moved(sphere)
    followed = follows(sphere)
    follow_no_longer(sphere)
    channels = {"location": 3, _TURN: 4} if rotation else {"location": 3}
    keys = _linear(point, rotation) if error_m is None else _thinned(point, error_m, rotation)
    kept = set_aside_edited(sphere)
    name_ball(scene, sphere, ball_name(rig, point))
    write_keys(sphere, _in_units(keys, unit, time_stretch(scene)), channels)
    _show_now(scene, sphere, point, rotation)
    keep_place(sphere, point)
    forget_bake(sphere)
    keep_path(sphere, point.frames, point.positions, key_text(rig))
    note_keys(sphere)
    place_uprights(scene, sphere, point.frames, point.positions)
    gone = ball_path(scene, sphere, point.frames) - point.positions
    off = float(np.linalg.norm(gone, axis=1).max())
    return Baked(sphere, len(key_frames(scene, sphere)), off, was_there, followed, kept)


def _linear(point: Point, rotation: bool) -> Keys:
    return Keys(point.frames, _columns(point, 1.0) if rotation else point.positions)


def _thinned(point: Point, error_m: float, rotation: bool) -> Keys:
    """As few keys as it takes, in metres and scene frames."""
    # A small turn moves the surface by the radius times twice what the quaternion changes by.
    weight = 2.0 * point.radius_m
    samples = _columns(point, weight) if rotation else point.positions
    error = max(error_m - _ROUNDED * float(np.abs(point.positions).max()), 0.5 * error_m)
    first = point.frames[0]
    kept = () if is_keyed_throughout(point) else (round(frame - first) for frame in point.keyed)
    few = thin(samples, error=error, kept=kept)
    left, right = (each.copy() for each in few.handles)
    values = few.values.copy()
    values[:, 3:] /= weight
    for handles in (left, right):
        handles[:, 0] += first
        handles[:, 4:] /= weight
    return Keys(point.frames[few.at], values, left, right, few.corner)


def is_keyed_throughout(point: Point) -> bool:
    """Whether the control has keys on nearly all frames, as captured motion has: where they stand
    says nothing then."""
    inside = {round(frame) for frame in point.keyed} & {round(frame) for frame in point.frames}
    return len(inside) > _THROUGHOUT * len(point.frames)


def _columns(point: Point, weight: float) -> Any:
    """(T,7) place and turn."""
    return np.concatenate((point.positions, weight * point.turns), axis=1)


def _in_units(keys: Keys, unit: float, stretch: float) -> Keys:
    """The same keys in Blender units, at the action's time."""

    def lengths(values: Any) -> Any:
        return np.concatenate((values[:, :3] / unit, values[:, 3:]), axis=1)

    def handles(told: Any) -> Any:
        return np.concatenate((told[:, :1] / stretch, lengths(told[:, 1:])), axis=1)

    values, frames = lengths(keys.values), keys.frames / stretch
    if keys.left is None:
        return Keys(frames, values)
    return Keys(frames, values, handles(keys.left), handles(keys.right), keys.corner)


def _show_now(
    scene: bpy.types.Scene, sphere: bpy.types.Object, point: Point, rotation: bool
) -> None:
    """Put the ball where it belongs on the current frame."""
    at = int(np.clip(scene.frame_current - point.frames[0], 0, len(point.frames) - 1))
    sphere.location = point.positions[at] / metres_per_unit(scene)
    # A ball looks alike from all sides.
    sphere.show_axis = rotation
    if rotation:
        sphere.rotation_mode = "QUATERNION"
        sphere.rotation_quaternion = point.turns[at]
