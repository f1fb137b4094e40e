# SPDX-License-Identifier: GPL-3.0-or-later
"""The soles: heel, ball and toe of each foot, and how high they lie when the foot stands."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]

# The heel lies behind the ankle by this share of the way from ankle to ball.
HEEL_SHARE = 1.0 / 3.0


@dataclass(frozen=True, eq=False)
class Sole:
    """One foot's points that can stand on something.

    side        L or R
    body        index of the foot in the basis
    names (N,)  heel, ball, toe, or as the clip calls them
    points      (T,N,3) metres, world: each lies on what bears it when the foot stands flat
    """

    side: str
    body: int
    names: tuple[str, ...]
    points: Floats


def find_sole(basis: "Basis", side: str) -> Sole | None:
    """The sole of one foot, or None without a foot.

    Points that the clip names on foot or toe are taken; else heel, ball and toe's tip are
    found from the rest pose. Each is lowered by what it lies above the floor at rest (the
    joint of the toes is a bone's thickness up), along the world's vertical.
    """
    foot, toe = basis.body(f"foot.{side}"), basis.body(f"toe.{side}")
    if foot is None:
        return None
    named = _named(basis, [foot] if toe is None else [foot, toe])
    if named:
        names, paths, at_rest = (list(each) for each in zip(*named, strict=True))
    else:
        names, paths, at_rest = _guessed(basis, foot, toe)
    ground = rest_ground(basis)
    up = np.array([0.0, 0.0, 1.0])
    if ground is not None:
        sunk = [z - ground for z in at_rest if z is not None]
        paths = [path - max(by, 0.0) * up for path, by in zip(paths, sunk, strict=True)]
    return Sole(side, foot, tuple(names), np.stack(paths, axis=1))


def rest_ground(basis: "Basis") -> float | None:
    """The height that the figure stands on in its rest pose: of the lowest point of its feet."""
    heights: list[float | None] = []
    for n, body in enumerate(basis.bodies):
        if (body.part or "").split(".")[0] in _FEET:
            offsets = [*basis.offsets[n, :2], *(offset for _name, offset in _on_joint(basis, n))]
            heights += [_rest_height(basis, n, offset) for offset in offsets]
        if (body.part or "").startswith("foot."):
            heel = _heel_offset(basis, n)
            heights += [] if heel is None else [_rest_height(basis, n, heel)]
    known = [height for height in heights if height is not None]
    return min(known) if known else None


_FEET = ("foot", "toe")


def _on_joint(basis: "Basis", body: int) -> list[tuple[str, Floats]]:
    """Names and offsets of the clip's points on a body's joint."""
    clip = basis.clip
    if clip.point_joint is None or clip.point_offset is None:
        return []
    on = np.flatnonzero(clip.point_joint == basis.bodies[body].joint)
    return [(clip.points[n], clip.point_offset[n]) for n in on]


def _named(basis: "Basis", bodies: list[int]) -> list[tuple[str, Floats, float | None]]:
    found = []
    for body in bodies:
        for name, offset in _on_joint(basis, body):
            path = basis.positions[:, body] + quat.rotate(
                basis.rotations[:, body], np.broadcast_to(offset, (len(basis.frames), 3))
            )
            found.append((name, path, _rest_height(basis, body, offset)))
    return found


def _guessed(
    basis: "Basis", foot: int, toe: int | None
) -> tuple[list[str], list[Floats], list[float | None]]:
    heel = _heel_offset(basis, foot)
    names, paths = ["heel", "ball"], [heel_path(basis, foot), basis.marks[:, foot, 1]]
    rest = [
        None if heel is None else _rest_height(basis, foot, heel),
        _rest_height(basis, foot, basis.offsets[foot, 1]),
    ]
    if toe is not None:
        names.append("toe")
        paths.append(basis.marks[:, toe, 1])
        rest.append(_rest_height(basis, toe, basis.offsets[toe, 1]))
    return names, paths, rest


def _rest_height(basis: "Basis", body: int, offset: Floats) -> float | None:
    """Height of a point of a body in the rest pose, or None without one."""
    clip, joint = basis.clip, basis.bodies[body].joint
    if clip.rest_positions is None or clip.rest_rotations is None:
        return None
    way = quat.rotate(clip.rest_rotations[joint], offset)
    return float(clip.rest_positions[joint, 2] + way[2])


def _heel_offset(basis: "Basis", foot: int) -> Floats | None:
    """(3,) the heel in the foot's axes: at rest it lies on the floor, behind the ankle by a
    third of what the foot's tip lies before it. None without a rest pose."""
    clip, joint = basis.clip, basis.bodies[foot].joint
    if clip.rest_positions is None or clip.rest_rotations is None:
        return None
    ankle, rest = clip.rest_positions[joint], clip.rest_rotations[joint]
    tip = ankle + quat.rotate(rest, basis.offsets[foot, 1])
    heel = ankle - HEEL_SHARE * (tip - ankle)
    heel[2] = min(float(tip[2]), float(clip.rest_positions[:, 2].min()))
    return quat.rotate(quat.conjugate(rest), heel - ankle)


def heel_path(basis: "Basis", foot: int) -> Floats:
    """(T,3) the heel's path; without a rest pose the ankle stands for it."""
    offset = _heel_offset(basis, foot)
    if offset is None:
        return np.asarray(basis.positions[:, foot])
    offsets = np.broadcast_to(offset, (len(basis.frames), 3))
    return np.asarray(basis.positions[:, foot] + quat.rotate(basis.rotations[:, foot], offsets))
