# SPDX-License-Identifier: GPL-3.0-or-later
"""A stiff figure that one control carries: its keys are known, and so are their arcs."""

from dataclasses import replace

import numpy as np

from analysis import Settings, check_clip
from analysis import quaternions as quat
from analysis.curves import Curve
from analysis.keys import recomputed, values_at
from tests.analysis import figures
from tests.quality.splines import spline

STEP = 10
REST_M = np.array([0.0, 0.0, 0.95])


def carried(places=None, turns=None, *, frames=None, kinds=None, scale=1.0, fps=24.0, **meta):
    """The clip of a figure whose control `body` has location keys (K,3), metres, or rotation
    keys (K,4), on frames (K,), every tenth one where none are told."""
    count = len(places if places is not None else turns)
    at = STEP * np.arange(count) if frames is None else np.asarray(frames)
    every = np.arange(at[-1] + 1)
    where, turned = np.zeros((len(every), 3)), np.tile([1.0, 0, 0, 0], (len(every), 1))
    curves, channels, values = [], [], []
    told = (("location", "xyz", places), ("rotation_quaternion", "wxyz", turns))
    for prop, axes, keys in told:
        if keys is None:
            continue
        keys = scale * np.asarray(keys, float) if prop == "location" else quat.continuous(keys)
        curve = spline(at, keys, "auto")
        sampled = curve.at(every)
        if prop == "location":
            where = sampled
        else:
            turned = quat.normalise(sampled)
        for column, axis in enumerate(axes):
            curves.append(_curve(prop, axis, column, at + 1.0, keys[:, column], kinds))
            channels.append(f"body|{prop}.{axis}")
            values.append(sampled[:, column])
    return _clip(where, turned, scale, fps, curves, channels, np.stack(values, axis=-1), meta)


def played(clip, edit, besides=None):
    """The clip with every curve edited, as Blender would play them, and the figure shifted with
    its location; `besides` (T,3) metres by which it moves without them."""
    curves = [recomputed(edit(curve)) for curve in clip.meta.curves]
    values = np.stack([values_at(curve, clip.frames) for curve in curves], axis=-1)
    shifts = [n for n, each in enumerate(clip.channels) if each.startswith("body|location")]
    moved = (values - clip.channel_values)[:, shifts]
    matrices = clip.control_matrices.copy()
    matrices[:, 0, :3, 3] += moved
    also = 0.0 if besides is None else np.asarray(besides)
    return replace(
        clip,
        channel_values=values,
        control_matrices=matrices,
        positions=clip.positions + (moved + also)[:, None],
        meta=replace(clip.meta, curves=tuple(curves)),
    )


def found(clip, **settings):
    """The findings of off_arc."""
    return check_clip(clip, Settings(checks=("off_arc",), cycle="no", **settings)).findings


def _curve(prop, axis, index, frames, values, kinds):
    flat = tuple(zip(frames.tolist(), values.tolist(), strict=True))
    count = len(frames)
    return Curve(
        control="body",
        channel=f"{prop}.{axis}",
        data_path=f'pose.bones["body"].{prop}',
        index=index,
        action="keyed",
        strip=None,
        frames=tuple(frames.tolist()),
        action_frames=tuple(frames.tolist()),
        values=tuple(values.tolist()),
        interpolation=("BEZIER",) * count,
        handle_left=flat,
        handle_right=flat,
        handle_types=(("AUTO", "AUTO"),) * count,
        key_types=tuple(kinds or ("KEYFRAME",) * count),
        drives=figures.NAMES,
    )


def _clip(where, turned, scale, fps, curves, channels, values, meta):
    count = len(where)
    turn, place = figures.pose({}, np.tile(REST_M, (count, 1)), count)
    places = quat.rotate(turned[:, None], scale * (place - REST_M)) + scale * REST_M
    places = places + where[:, None]
    still = figures.to_clip(
        quat.multiply(turned[:, None], turn), places / scale, fps, scale, {"floor_z": -9.0, **meta}
    )
    matrices = np.tile(np.eye(4), (count, 1, 1, 1))
    for axis in range(3):
        along = np.broadcast_to(np.eye(3)[axis], (count, 3))
        matrices[:, 0, :3, axis] = quat.rotate(turned, along)
    matrices[:, 0, :3, 3] = where + scale * REST_M
    return replace(
        still,
        positions=places,
        channels=tuple(channels),
        channel_values=values,
        control_matrices=matrices,
        meta=replace(still.meta, curves=tuple(curves), controls=("body",)),
    )
