# SPDX-License-Identifier: GPL-3.0-or-later
"""A simulated motion as a clip: joints, roles, points and boxes, and nothing of its masses."""

from collections.abc import Sequence
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat
from analysis.meta import Event, Meta
from demo_scenes.captured.rotations import from_matrix

from ..simulation.segments import (
    HEIGHT_M,
    HINGES,
    NAMES,
    PARENTS,
    POINTS,
    SEGMENTS,
    heads,
    tails,
)

Floats = NDArray[np.float64]

# A box that bears is told as so thick.
_ROLES = {"hips": ("root", "pelvis"), "spine": ("spine.1",)}


def clip_of(
    name: str,
    pose: Floats,
    fps: float,
    *,
    size: float = 1.0,
    boxes: Sequence[tuple[float, float, float, float, float]] = (),
    events: tuple[Event, ...] = (),
) -> Clip:
    """The figure on frames 1..T.

    pose (T,7+H) the first joint's place, metres, and turn, then the hinges' angles in radians;
    size: times as tall as 1.75 m; boxes: centre x and y, top, half widths, metres.
    """
    turns = _turns(pose)
    rest = heads() * size
    rotations = np.stack([_bone_axes(each) for each in tails() - heads()])
    joints = [NAMES.index(joint) for joint, _ in POINTS.values()]
    offsets = np.array([place for _, place in POINTS.values()]) * size - rest[joints]
    return Clip(
        frames=np.arange(1, len(pose) + 1, dtype=np.float64),
        fps=fps,
        joints=NAMES,
        parents=np.array(PARENTS),
        positions=_places(pose[:, :3], turns, rest),
        rotations=quat.continuous(quat.normalise(quat.multiply(turns, rotations[None]))),
        rest_positions=rest,
        rest_rotations=rotations,
        lengths=size * np.linalg.norm(tails() - heads(), axis=-1),
        points=tuple(POINTS),
        point_joint=np.array(joints),
        point_offset=quat.rotate(quat.conjugate(rotations[joints]), offsets),
        supports=_supports(boxes, len(pose)),
        meta=Meta(
            name=name,
            roles=_roles(),
            floor_z=0.0,
            height_m=size * HEIGHT_M,
            events=events,
            cycle=False,
            supports=tuple(f"box.{n}" for n in range(1, len(boxes) + 1)),
        ),
    )


def _turns(pose: Floats) -> Floats:
    """(T,J,4) each segment's turn since rest: its hinges turn it one in the other, as listed."""
    turns = np.zeros((len(pose), len(NAMES), 4))
    for joint, (segment, parent) in enumerate(zip(SEGMENTS, PARENTS, strict=True)):
        turn = pose[:, 3:7] if parent < 0 else turns[:, parent]
        for hinge in segment.hinges:
            half = 0.5 * pose[:, 7 + HINGES.index(f"{segment.name}:{hinge.about}")]
            one = np.zeros((len(pose), 4))
            one[:, 0], one[:, 1 + "xyz".index(hinge.about)] = np.cos(half), np.sin(half)
            turn = quat.multiply(turn, one)
        turns[:, joint] = turn
    return turns


def _places(hips: Floats, turns: Floats, rest: Floats) -> Floats:
    """(T,J,3) joint heads."""
    places = np.zeros((*turns.shape[:2], 3))
    places[:, 0] = hips
    for joint, parent in enumerate(PARENTS):
        if parent >= 0:
            away = quat.rotate(turns[:, parent], rest[joint] - rest[parent])
            places[:, joint] = places[:, parent] + away
    return places


def _roles() -> MappingProxyType[str, tuple[str, ...]]:
    """Joints are called after their parts, but for the hips and the spine."""
    roles: dict[str, tuple[str, ...]] = {}
    for name in NAMES:
        for part in _ROLES.get(name, (name,)):
            roles[part] = (name,)
    return MappingProxyType(roles)


def _supports(boxes: Sequence[tuple[float, float, float, float, float]], count: int):
    """(S,T,4,4), or None without any."""
    if not boxes:
        return None
    found = np.zeros((len(boxes), count, 4, 4))
    for matrix, (x, y, top, wide, deep) in zip(found, boxes, strict=True):
        matrix[:] = np.diag([2.0 * wide, 2.0 * deep, top, 1.0])
        matrix[:, :3, 3] = x, y, 0.5 * top
    return found


def _bone_axes(direction: Floats) -> Floats:
    """(4,) with Y along the bone and X to the figure's left."""
    y = direction / np.linalg.norm(direction)
    x = np.array([1.0, 0.0, 0.0]) - y[0] * y
    x /= np.linalg.norm(x)
    return from_matrix(np.stack((x, y, np.cross(x, y)), axis=-1))
