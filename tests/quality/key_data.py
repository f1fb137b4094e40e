# SPDX-License-Identifier: GPL-3.0-or-later
"""The puppet's splines as the keys that a clip carries."""

from dataclasses import replace

import numpy as np

from analysis import Clip
from analysis import quaternions as quat
from analysis.curves import Curve

from .puppet import Floats, Puppet, Tracks
from .splines import PLAIN_REACH, Spline, spline

# Channel of the puppet -> how a rig would spell it: property, axes, index of the first.
_SPELLED = {
    "place": ("location", "xyz", 0),
    "turn": ("rotation_quaternion", "wxyz", 0),
    "bend": ("rotation_euler", "x", 0),
    "swivel": ("rotation_euler", "y", 1),
}
_HANDLES = {"clamped": "AUTO_CLAMPED", "plain": "AUTO_CLAMPED", "auto": "AUTO", "linear": "VECTOR"}


def curves_of(puppet: Puppet, splines: dict[str, Spline], first: int = 1) -> tuple[Curve, ...]:
    """Every channel's keys, the splines' frame 0 on scene frame `first`."""
    return tuple(
        _curve(puppet, name, curve, column, first)
        for name, curve in splines.items()
        for column in range(curve.values.shape[1])
    )


def controlled(clip: Clip, puppet: Puppet, tracks: Tracks) -> Clip:
    """The clip with its controls' matrices and the values of their channels, as a rig has them.

    Knees have none: where their controls stand is up to a rig.
    """
    names = list(dict.fromkeys(name.rpartition(".")[0] for name in tracks))
    controls = tuple(name for name in names if not name.startswith("knee"))
    matrices = np.stack([_matrix(clip, puppet, tracks, name) for name in controls], axis=1)
    channels, columns = [], []
    for name, values in tracks.items():
        control, _, channel = name.rpartition(".")
        path, axes, _index = _SPELLED[channel]
        channels += [f"{control}|{path}.{axis}" for axis in axes]
        columns.append(values)
    return replace(
        clip,
        channels=tuple(channels),
        channel_values=np.concatenate(columns, axis=-1),
        control_matrices=matrices,
        meta=replace(clip.meta, controls=controls),
    )


def tracks_in(clip: Clip) -> Tracks:
    """The puppet's channels (T,C) by name, out of a clip that carries them."""
    found: dict[str, list[Floats]] = {}
    for column, name in enumerate(clip.channels):
        found.setdefault(_track_name(*name.split("|")), []).append(clip.channel_values[:, column])
    return {name: np.stack(columns, axis=-1) for name, columns in found.items()}


def splines_of(clip: Clip) -> dict[str, Spline]:
    """The puppet's splines by channel, out of the keys that a clip carries."""
    found: dict[str, list[Curve]] = {}
    for curve in clip.meta.curves:
        found.setdefault(_track_name(curve.control, curve.channel), []).append(curve)
    return {name: _spline(curves, clip.frames[0]) for name, curves in found.items()}


def _track_name(control: str, channel: str) -> str:
    path, axis = channel.split(".")
    for name, (spelled, axes, _index) in _SPELLED.items():
        if spelled == path and axis in axes:
            return f"{control}.{name}"
    raise ValueError(f"no channel of the puppet is spelt {channel!r}.")


def _spline(curves: list[Curve], first: float) -> Spline:
    """Handles as they were set, where a key has its own; the rest is as automatic handles are."""
    one = curves[0]
    frames = np.array(one.frames) - first
    values = np.array([curve.values for curve in curves]).T
    reach = (one.handle_right[0][0] - one.frames[0]) / (frames[1] - frames[0])
    kinds = {kind for curve in curves for _left, kind in curve.handle_types}
    kind = {"VECTOR": "linear", "AUTO": "auto"}.get(kinds.pop(), "clamped")
    if kind == "clamped" and abs(reach - PLAIN_REACH) < 1e-3:
        kind = "plain"
    made = spline(frames, values, kind, cyclic=one.cyclic)
    into = made.slopes_in.copy()
    for column, curve in enumerate(curves):
        for key, (left, _right) in enumerate(curve.handle_types):
            if left == "FREE":
                at, height = curve.handle_left[key]
                into[key, column] = (curve.values[key] - height) / (curve.frames[key] - at)
    return replace(made, slopes_in=into)


def _matrix(clip: Clip, puppet: Puppet, tracks: Tracks, control: str) -> Floats:
    """(T,4,4) a control's matrix: at rest its axes are the world's."""
    found = np.tile(np.eye(4), (len(clip.frames), 1, 1))
    joint = puppet.joints.index(control)
    back = np.broadcast_to(quat.conjugate(puppet.rest_rotations[joint]), (len(clip.frames), 4))
    turn = quat.multiply(clip.rotations[:, joint], back)
    for axis in range(3):
        along = np.broadcast_to(np.eye(3)[axis], (len(clip.frames), 3))
        found[:, :3, axis] = quat.rotate(turn, along)
    found[:, :3, 3] = tracks.get(f"{control}.place", clip.positions[:, joint])
    return found


def _curve(puppet: Puppet, name: str, curve: Spline, column: int, first: int) -> Curve:
    control, _, channel = name.rpartition(".")
    path, axes, index = _SPELLED[channel]
    frames, values = curve.frames + first, curve.values[:, column]
    gaps = np.diff(curve.frames)
    before, after = np.concatenate((gaps[:1], gaps)), np.concatenate((gaps, gaps[-1:]))
    before, after = curve.reach * before, curve.reach * after
    left = np.stack((frames - before, values - before * curve.slopes_in[:, column]), axis=-1)
    right = np.stack((frames + after, values + after * curve.slopes_out[:, column]), axis=-1)
    broken = curve.slopes_in[:, column] != curve.slopes_out[:, column]
    kind = _HANDLES[curve.kind]
    return Curve(
        control=control,
        channel=f"{path}.{axes[column]}",
        data_path=f'pose.bones["{control}"].{path}',
        index=index + column,
        action="keyed",
        strip=None,
        frames=tuple(frames.tolist()),
        action_frames=tuple(frames.tolist()),
        values=tuple(values.tolist()),
        interpolation=("LINEAR" if curve.kind == "linear" else "BEZIER",) * len(frames),
        handle_left=tuple((a, b) for a, b in left.tolist()),
        handle_right=tuple((a, b) for a, b in right.tolist()),
        handle_types=tuple(("FREE", kind) if each else (kind, kind) for each in broken),
        key_types=("KEYFRAME",) * len(frames),
        cyclic=curve.cyclic,
        drives=_drives(puppet, control),
    )


def _drives(puppet: Puppet, control: str) -> tuple[str, ...]:
    """The joints that a control can move: all that hangs on it; a leg's steer its whole leg."""
    part, _, side = control.partition(".")
    if part in ("foot", "knee"):
        lowest = ("foot",) if part == "foot" else ()
        return tuple(f"{joint}.{side}" for joint in ("thigh", "shin", *lowest))
    found = {puppet.joints.index(control)}
    for joint, parent in enumerate(puppet.parents):
        if parent in found:
            found.add(joint)
    # The feet are steered in the world, so that the hips move their legs and not their soles.
    return tuple(n for j, n in enumerate(puppet.joints) if j in found and not n.startswith("foot"))
