# SPDX-License-Identifier: GPL-3.0-or-later
"""From a clip to its basis: bodies chosen, gaps bridged, rotation signs made continuous."""

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..clip import Clip
from ..memory import Memory
from ..settings import Settings
from .bodies import Body, find_bodies, find_roles, reaches
from .core import Basis
from .height import find_height

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def build_basis(clip: Clip, settings: Settings, memory: Memory | None = None) -> Basis:
    """Follow the clip's bodies, fill gaps, and make rotation signs continuous."""
    roles = find_roles(clip)
    bodies = find_bodies(clip, roles)
    joints = [body.joint for body in bodies]
    valid = clip.valid_mask[:, joints]
    added = frozenset(body.joint for body in bodies if body.added)
    height = find_height(clip, roles, settings.height_m, added=added)
    rotations = quat.normalise(quat.continuous(fill_gaps(clip.rotations[:, joints], valid)))
    positions = fill_gaps(clip.positions[:, joints], valid)
    _place_points(clip, bodies, positions, rotations)
    return Basis(
        clip=clip,
        settings=settings,
        roles=roles,
        bodies=bodies,
        height=height,
        positions=positions,
        rotations=rotations,
        valid=valid,
        reach=reaches(clip, bodies, height.scene_m),
        memory=memory,
    )


def _place_points(
    clip: Clip, bodies: tuple[Body, ...], positions: Floats, rotations: Floats
) -> None:
    """Put single points where they are, and let them turn with what carries them."""
    for n, body in enumerate(bodies):
        if body.is_point and clip.point_offset is not None:
            offset = clip.point_offset[clip.points.index(body.point)]
            positions[:, n] += quat.rotate(
                rotations[:, n], np.broadcast_to(offset, (len(positions), 3))
            )
            rotations[:, n] = (
                rotations[:, body.parent] if body.parent >= 0 else [1.0, 0.0, 0.0, 0.0]
            )


def fill_gaps(values: Floats, valid: Bools) -> Floats:
    """Bridge gaps of values (T,B,K) by straight lines; a body without any sample stays at zero."""
    if valid.all():
        return np.array(values)
    filled = np.where(valid[..., None], values, 0.0)
    time = np.arange(len(values), dtype=np.float64)
    for body in np.flatnonzero(~valid.all(axis=0)):
        known = valid[:, body]
        if known.any():
            for axis in range(values.shape[-1]):
                filled[:, body, axis] = np.interp(time, time[known], values[known, body, axis])
    return filled
