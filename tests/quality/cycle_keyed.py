# SPDX-License-Identifier: GPL-3.0-or-later
"""A round as it would be keyed: splines that repeat, through few keys of each limb.

Every group of controls (body, back and head, each limb) has pose keys of its own, a frame or
two later from the body outwards, and breakdowns where the splines miss the motion. Curves are
what Blender's automatic handles of thirds give: cubics with the slope between the neighbouring
keys, flat at extremes where they are clamped; and they repeat, as with a Cycles modifier.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis import quaternions as quat

from .cycle_round import Round
from .figure import Channels

Floats = NDArray[np.float64]

# Groups of parts and the frames that their pose keys come later, at 24 a second.
GROUPS = (
    (("hips",), 0),
    (("chest", "neck", "head"), 1),
    (("thigh.L", "shin.L", "foot.L"), 0),
    (("thigh.R", "shin.R", "foot.R"), 0),
    (("upper_arm.L", "forearm.L", "hand.L"), 2),
    (("upper_arm.R", "forearm.R", "hand.R"), 2),
)
# Pose keys this far apart; breakdowns no nearer than that; added where a part is off by more.
POSE_S, NEAREST_S, OFF_RAD, OFF_M = 0.25, 0.08, np.radians(7.0), 0.02


def keyed_round(found: Round, *, clamped: bool) -> Round:
    """The round through splines; `clamped` handles are flat at each curve's extremes."""
    fps, length = found.form.fps, found.length
    places, turns = found.channels.places.copy(), found.channels.turns.copy()
    for parts, late in GROUPS:
        joints = [n for n, name in enumerate(found.form.joints) if name in parts]
        every = max(round(length / (POSE_S * fps)), 3)
        keys = (np.round(np.arange(every) * length / every).astype(int) + late) % length
        curves = np.concatenate((places[:, joints], turns[:, joints]), axis=-1)
        splined = _splined(curves, np.unique(keys), fps, clamped)
        places[:, joints] = splined[..., :3]
        turns[:, joints] = quat.normalise(splined[..., 3:])
    return replace(found, channels=Channels(places, quat.continuous(turns)))


def _splined(curves: Floats, keys: NDArray[np.int64], fps: float, clamped: bool) -> Floats:
    """Curves (L,J,7) through keys, more of them where the splines are off and there is room."""
    length = len(curves)
    nearest = max(round(NEAREST_S * fps), 2)
    # A turn may come back to itself as its opposite: the curve then runs on to that.
    sign = np.sign(np.sum(curves[0, :, 3:] * curves[-1, :, 3:], axis=-1))
    flip = np.ones((curves.shape[1], 7))
    flip[:, 3:] = np.where(sign < 0.0, -1.0, 1.0)[:, None]
    while True:
        found = _through(curves, keys, flip, clamped)
        turn = 2.0 * np.linalg.norm(found[..., 3:] - curves[..., 3:], axis=-1)
        off = np.linalg.norm(found[..., :3] - curves[..., :3], axis=-1) / OFF_M
        worst = np.maximum(off, turn / OFF_RAD).max(axis=1)
        apart = np.abs(np.arange(length)[:, None] - keys)
        room = np.minimum(apart, length - apart).min(axis=1) >= nearest
        worst = np.where(room, worst, 0.0)
        if worst.max() <= 1.0:
            return found
        keys = np.sort(np.append(keys, int(np.argmax(worst))))


def _through(curves: Floats, keys: NDArray[np.int64], flip: Floats, clamped: bool) -> Floats:
    """(L,J,7) the repeating cubics through the keys."""
    length, values = len(curves), curves[keys]
    times = np.concatenate((keys[-1:] - length, keys, keys[:1] + length)).astype(np.float64)
    around = np.concatenate((values[-1:] * flip, values, values[:1] * flip))
    rise = np.diff(around, axis=0) / np.diff(times)[:, None, None]
    slopes = (around[2:] - around[:-2]) / (times[2:] - times[:-2])[:, None, None]
    if clamped:
        slopes = np.where(rise[1:] * rise[:-1] <= 0.0, 0.0, slopes)
    slopes = np.concatenate((slopes, slopes[:1] * flip))
    at = np.arange(length, dtype=np.float64)
    lap = at < keys[0]
    at = np.where(lap, at + length, at)
    n = np.searchsorted(keys, at, side="right") - 1
    span = (times[n + 2] - times[n + 1])[:, None, None]
    u = (at - times[n + 1])[:, None, None] / span
    a, b = around[n + 1], around[n + 2]
    curve = (
        a
        + u * u * (3.0 - 2.0 * u) * (b - a)
        + span * u * (1.0 - u) ** 2 * slopes[n]
        - span * u * u * (1.0 - u) * slopes[n + 1]
    )
    return np.asarray(np.where(lap[:, None, None], curve * flip, curve))
