# SPDX-License-Identifier: GPL-3.0-or-later
"""Plant a fault on one control and one frame, and nowhere else."""

from dataclasses import dataclass

import bpy
import numpy as np
from mathutils import Matrix, Quaternion, Vector

from ..captured.fcurves import bone_path, ensure_fcurve, find_fcurve
from ..captured.rotations import Floats
from .beziers import EXTRAS, LINEAR, Keys, frozen, no_keys, with_key
from .sampling import sample_bones

AXES = {"x": 0, "y": 1, "z": 2}
_QUATERNION = "rotation_quaternion"
# A world axis seldom falls exactly on a channel: what is smaller than this is left alone.
_LEAST_M = 1e-7


@dataclass(frozen=True)
class Spike:
    """What was planted: on `frame`, `deltas` added to channels (data path, index) of a control."""

    control: str
    frame: int
    channels: tuple[tuple[str, int], ...]
    deltas: tuple[float, ...]


def spike(
    rig: bpy.types.Object,
    control: str,
    frame: int,
    offset_m: float,
    *,
    axis: str = "z",
    space: str = "world",
) -> Spike:
    """Move a control by offset_m metres on one frame: a spike of linear keys on f-1, f, f+1.

    axis "x", "y" or "z" of the world, or, with space "control", of the control's location
    channels. Keys on f-1 and f+1 keep the curve's own value, and the rest of the curve stays as
    it is, so that frame f alone differs; the curve's handles become free ones for that.
    """
    _check(rig, control, axis, space)
    along = np.eye(3)[AXES[axis]] * offset_m
    if space == "world":
        along = np.linalg.solve(_channels_to_world(rig, control, frame), along)
    deltas = np.where(np.abs(along) < _LEAST_M, 0.0, along)
    return _plant(rig, control, "location", frame, deltas)


def spike_turn(
    rig: bpy.types.Object, control: str, frame: int, angle_deg: float, *, axis: str = "x"
) -> Spike:
    """Turn a control by angle_deg degrees about one of its own axes on one frame, as `spike`."""
    _check(rig, control, axis, "control")
    if rig.pose.bones[control].rotation_mode != "QUATERNION":
        raise ValueError(
            f"{control} turns by {rig.pose.bones[control].rotation_mode}, expected QUATERNION: "
            "choose a control that is keyed with quaternions."
        )
    path = bone_path(control, _QUATERNION)
    now = np.array([_value(rig, path, i, frame) for i in range(4)])
    turn = Quaternion(Vector(np.eye(3)[AXES[axis]]), np.radians(angle_deg))
    return _plant(rig, control, _QUATERNION, frame, np.array(Quaternion(now) @ turn) - now)


def read_keys(curve: bpy.types.FCurve) -> Keys:
    """The curve's keys as arrays."""
    points, extras = [], {}
    keys = curve.keyframe_points
    for name in ("handle_left", "co", "handle_right"):
        flat = np.zeros(2 * len(keys), np.float32)
        keys.foreach_get(name, flat)
        points.append(flat.reshape(-1, 2).astype(np.float64))
    for name, kind in EXTRAS:
        extras[name] = np.zeros(len(keys), kind)
        keys.foreach_get(name, extras[name])
    return Keys(np.stack(points, axis=1), extras)


def write_keys(curve: bpy.types.FCurve, keys: Keys) -> None:
    """Replace the curve's keys by these."""
    points = curve.keyframe_points
    points.clear()
    points.add(len(keys.points))
    for name, _ in EXTRAS:
        points.foreach_set(name, keys.extras[name])
    for column, name in enumerate(("handle_left", "co", "handle_right")):
        points.foreach_set(name, keys.points[:, column].astype(np.float32).ravel())
    curve.update()  # reallocates the keys: `points` must not be used after this


def _check(rig: bpy.types.Object, control: str, axis: str, space: str) -> None:
    if control not in rig.pose.bones:
        raise ValueError(
            f"{rig.name} has no control {control!r}, expected one such as 'torso': name one."
        )
    if axis not in AXES:
        raise ValueError(f"axis is {axis!r}, expected x, y or z: choose one of these.")
    if space not in ("world", "control"):
        raise ValueError(f"space is {space!r}, expected world or control: choose one of these.")


def _plant(rig: bpy.types.Object, control: str, prop: str, frame: int, deltas: Floats) -> Spike:
    path = bone_path(control, prop)
    touched = [int(i) for i in np.flatnonzero(deltas)]
    for index in touched:
        _spike_curve(rig, path, index, frame, float(deltas[index]))
    return Spike(
        control=control,
        frame=frame,
        channels=tuple((path, index) for index in touched),
        deltas=tuple(float(deltas[index]) for index in touched),
    )


def _spike_curve(rig: bpy.types.Object, path: str, index: int, frame: int, delta: float) -> None:
    values = [_value(rig, path, index, f) for f in (frame - 1, frame, frame + 1)]
    curve = ensure_fcurve(rig, path, index)
    keys = frozen(read_keys(curve)) if len(curve.keyframe_points) else no_keys()
    for f, value in zip((frame - 1, frame, frame + 1), values, strict=True):
        if not np.isclose(keys.frames, f, atol=1e-3).any():
            keys = with_key(keys, f, value)
    at = int(np.argmin(np.abs(keys.frames - frame)))
    keys.points[at, :, 1] += delta
    keys.extras["interpolation"][at - 1 : at + 1] = LINEAR
    write_keys(curve, keys)


def _value(rig: bpy.types.Object, path: str, index: int, frame: float) -> float:
    """What the channel evaluates to; where it is not keyed, what it is set to."""
    curve = find_fcurve(rig, path, index)
    if curve is None or not len(curve.keyframe_points):
        return float(rig.path_resolve(path)[index])
    return float(curve.evaluate(frame))


def _channels_to_world(rig: bpy.types.Object, control: str, frame: int) -> Floats:
    """(3,3) how far the control moves in the world per unit of each location channel."""
    bone = rig.data.bones[control]
    world = np.array(rig.matrix_world)
    above = {}
    if bone.parent:
        posed = sample_bones(rig, [frame], [bone.parent.name])[0, 0]
        above = {
            "parent_matrix": Matrix(np.linalg.inv(world) @ posed),
            "parent_matrix_local": bone.parent.matrix_local,
        }

    def place(location: Floats) -> Floats:
        basis = Matrix.Translation(Vector(location))
        return np.array(bone.convert_local_to_pose(basis, bone.matrix_local, **above))[:3, 3]

    moved = np.stack([place(step) - place(np.zeros(3)) for step in np.eye(3)], axis=-1)
    return world[:3, :3] @ moved
