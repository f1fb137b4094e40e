# SPDX-License-Identifier: GPL-3.0-or-later
"""From a clip to its basis: bodies chosen, gaps bridged, rotation signs made continuous."""

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..clip import Clip
from ..memory import Memory
from ..meta_ball import Ball
from ..settings import Settings
from .ball import BallBasis, ball_body, figure_of, lone_height
from .bodies import LEAST_REACH, Body, find_bodies, find_roles, reaches
from .core import Basis
from .height import find_height

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def build_basis(clip: Clip, settings: Settings, memory: Memory | None = None) -> Basis:
    """Follow the clip's bodies, fill gaps, and make rotation signs continuous.

    Of a clip whose meta says that its first joint is a ball, that alone is followed.
    """
    if clip.meta.ball is not None:
        return _of_ball(clip, clip.meta.ball, settings, memory)
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


def _of_ball(clip: Clip, ball: Ball, settings: Settings, memory: Memory | None) -> BallBasis:
    """The ball alone, over its figure where there is one."""
    figure = build_basis(figure_of(clip, ball), settings, memory) if ball.figure else None
    if figure is None:
        height = lone_height(clip, ball, settings.height_m)
    else:
        height = figure.height
    valid = clip.valid_mask[:, :1]
    turns = np.zeros((len(valid), 1, 4))
    turns[..., 0] = 1.0
    return BallBasis(
        clip=clip,
        settings=settings,
        roles=find_roles(clip),
        bodies=(ball_body(clip),),
        height=height,
        positions=fill_gaps(clip.positions[:, :1], valid),
        rotations=turns,
        valid=valid,
        reach=np.array([LEAST_REACH * height.scene_m]),
        memory=memory,
        figure=figure,
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
