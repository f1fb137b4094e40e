# SPDX-License-Identifier: GPL-3.0-or-later
"""A blade's edge, or its end, turned to the camera for some frames."""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from ..armed import SEEN
from ..blade import NAME, blade_points
from ..blade_view import seen_share
from ..case import Case
from ..figure import rebuild
from ..planted import Planted
from ..timing import blend, without_curves
from .armed_clips import EDGE, LED_IN, PROP, blade_way, frames, unit, weights

Floats = NDArray[np.float64]

# What is seen of its width or length, and what must not be.
SHARES, LIMIT = (0.03, 0.12), 0.15


def plant_edge(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """For `size` frames the blade is turned so that its edge, or its end, is towards the camera."""
    clip, count = case.clip, int(size)
    if len(clip.frames) < count + 2 * (EDGE + LED_IN):
        return None
    first = int(rng.integers(EDGE + LED_IN, len(clip.frames) - count - EDGE - LED_IN + 1))
    last = first + count - 1
    weight = weights(len(clip.frames), first, last, LED_IN)
    turn = (_rolled if part == "width" else _pointed)(clip, rng.uniform(*SHARES))
    turn = blend(np.tile([1.0, 0.0, 0.0, 0.0], (len(weight), 1)), turn, weight)
    turn[weight == 0.0] = [1.0, 0.0, 0.0, 0.0]
    edged = rebuild(clip, clip.joint(NAME), turn=turn)
    share = seen_share(edged)
    beside = share[[first - LED_IN, last + LED_IN]]
    if share[first : last + 1].max() >= LIMIT or beside.min() < SEEN:
        return None
    return Planted(
        clip=without_curves(edged),
        check="edge_on",
        part=PROP,
        carriers=(PROP,),
        frames=frames(clip, first - LED_IN + 1, last + LED_IN - 1),
        size=size,
        where=f"{100 * share[first : last + 1].max():.0f} % at the most",
    )


def _sight(clip: Clip) -> Floats:
    """(T,3) from the camera to the middle of the blade."""
    points = blade_points(clip)
    joint = clip.joint(NAME)
    middle = 0.5 * (points["base"] + points["tip"])
    place = clip.positions[:, joint] + quat.rotate(clip.rotations[:, joint], middle)
    return unit(place - clip.camera_pose[:, :3, 3])


def _rolled(clip: Clip, share: float) -> Floats:
    """(T,4) how the blade rolls about its length so that the camera sees a share of its width."""
    way, sight = blade_way(clip), _sight(clip)
    across = unit(sight - np.sum(sight * way, axis=-1, keepdims=True) * way)
    flat = quat.rotate(clip.rotations[:, clip.joint(NAME)], np.array([1.0, 0.0, 0.0]))
    flat *= np.where(np.sum(flat * across, axis=-1, keepdims=True) < 0.0, -1.0, 1.0)
    angle = np.arctan2(
        np.sum(np.cross(across, flat) * way, axis=-1), np.sum(across * flat, axis=-1)
    )
    goal = np.where(angle < 0.0, -1.0, 1.0) * np.arccos(share)
    half = 0.5 * (goal - angle)[:, None]
    return np.concatenate((np.cos(half), np.sin(half) * way), axis=1)


def _pointed(clip: Clip, share: float) -> Floats:
    """(T,4) how the blade turns so that the camera sees a share of its length."""
    way, sight = blade_way(clip), _sight(clip)
    sight = np.where(np.sum(way * sight, axis=-1, keepdims=True) < 0.0, -sight, sight)
    axis = unit(np.cross(way, sight))
    angle = np.arccos(np.clip(np.sum(way * sight, axis=-1), -1.0, 1.0)) - np.arcsin(share)
    half = 0.5 * np.maximum(angle, 0.0)[:, None]
    return np.concatenate((np.cos(half), np.sin(half) * axis), axis=1)
