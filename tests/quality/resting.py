# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a part of a clip lies on something or close to it, and where a foot stands.

What rests on the floor or on the body stops and keeps its orientation by right: faults of that
kind are not planted there. Bodies are taken for rods with a rough thickness, shares of the
height; common practice, no source. Clips without a stated floor stand on zero.
"""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from .moves import Target, ends_of, height_of, target

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# As near to a skin as this, of the height (8.5 cm at 1.7 m).
NEAR = 0.05
SKINS = {"root": 0.08, "pelvis": 0.08, "chest": 0.08, "neck": 0.035, "head": 0.055}
SKINS |= {"thigh": 0.05, "shin": 0.03, "foot": 0.02, "upper_arm": 0.03, "forearm": 0.025}
ARM = ("shoulder", "upper_arm", "forearm", "hand")
# A sole point this low, of the height (4 cm at 1.7 m), and this slow, of it a second (17 cm/s),
# stands.
LOW, SLOW = 0.04 / 1.7, 0.1


def lies_on_something(clip: Clip, part: Target) -> Bools:
    """(T,) samples on which a hand or a prop lies on or near floor or body, or a head on or near
    the floor."""
    height = height_of(clip)
    near = NEAR * height
    points = ends_of(clip, part.joint)
    kind, _, side = part.part.partition(".")
    skin = SKINS.get(kind, 0.0) * height
    lies = np.asarray(points[..., 2].min(axis=1) - skin - _floor(clip) < near)
    if kind not in ("hand", "prop"):
        return lies
    if kind == "prop":
        side = (clip.meta.props[int(side) - 1].held_by or "").partition(".")[2]
    own = {f"{name}.{side}" for name in ARM}
    for other in clip.meta.roles:
        body = target(clip, other)
        if other in own or body is None or body.joint == part.joint:
            continue
        thick = SKINS.get(other.partition(".")[0], 0.0) * height
        lies |= _from_rod(points, ends_of(clip, body.joint)) - thick < near
    return lies


def stands(clip: Clip, foot: Target) -> Bools:
    """(T-1,) steps over which a foot stands: a point of its sole stays low and is slow."""
    sole = sole_of(clip, foot)
    height = height_of(clip)
    low = np.maximum(sole[1:, :, 2], sole[:-1, :, 2]) < _floor(clip) + LOW * height
    speed = np.linalg.norm(np.diff(sole, axis=0), axis=-1) / clip.dt_s
    return np.asarray((low & (speed < SLOW * height)).any(axis=1))


def sole_of(clip: Clip, foot: Target) -> Floats:
    """(T,N,3) the points that the clip names on a foot, else its joint and tip."""
    if clip.point_joint is None or clip.point_offset is None:
        return ends_of(clip, foot.joint)
    mine = np.flatnonzero(clip.point_joint == foot.joint)
    if len(mine) == 0:
        return ends_of(clip, foot.joint)
    turned = quat.rotate(clip.rotations[:, [foot.joint]], clip.point_offset[mine][None])
    return np.asarray(clip.positions[:, [foot.joint]] + turned)


def _from_rod(points: Floats, rod: Floats) -> Floats:
    """(T,) how far the nearer of two points (T,2,3) is from a rod between ends (T,2,3)."""
    start, along = rod[:, :1], rod[:, 1:] - rod[:, :1]
    square = np.maximum(np.sum(along * along, axis=-1), 1e-12)
    share = np.clip(np.sum((points - start) * along, axis=-1) / square, 0.0, 1.0)
    gap = points - start - share[..., None] * along
    return np.asarray(np.linalg.norm(gap, axis=-1).min(axis=1))


def _floor(clip: Clip) -> float:
    return clip.meta.floor_z or 0.0
