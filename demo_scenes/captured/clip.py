# SPDX-License-Identifier: GPL-3.0-or-later
"""A captured motion as a clip, so that it can be checked without Blender."""

from types import MappingProxyType

import numpy as np

from analysis.clip import Clip
from analysis.meta import Meta

from .motions import CapturedMotion

_PARTS = {"root": "hips", "pelvis": "hips"}


def to_clip(motion: CapturedMotion) -> Clip:
    """The motion on frames 1..T with its roles, true size and a floor at z = 0."""
    return Clip(
        frames=np.arange(1, motion.frame_count + 1, dtype=np.float64),
        fps=motion.fps,
        joints=motion.joints,
        parents=motion.parents,
        positions=motion.positions,
        rotations=motion.rotations,
        rest_positions=motion.rest_positions,
        rest_rotations=motion.rest_rotations,
        lengths=motion.lengths,
        points=motion.points,
        point_joint=motion.point_joint,
        point_offset=motion.point_offset,
        meta=Meta(name=motion.name, roles=_roles(motion), floor_z=0.0, height_m=_height(motion)),
    )


def _roles(motion: CapturedMotion) -> MappingProxyType[str, tuple[str, ...]]:
    """Joints are called after their parts; the hips carry the body too."""
    named = {joint: (joint,) for joint in motion.joints if joint not in _PARTS.values()}
    return MappingProxyType({part: (joint,) for part, joint in _PARTS.items()} | named)


def _height(motion: CapturedMotion) -> float:
    """Standing height in metres: the head's top above the floor at rest."""
    head = motion.joint("head")
    return float(motion.rest_positions[head, 2] + motion.lengths[head])
