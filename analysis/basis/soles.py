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
Bools = NDArray[np.bool_]

# The heel lies behind the ankle by this share of the way from ankle to ball.
HEEL_SHARE = 1.0 / 3.0


@dataclass(frozen=True, eq=False)
class Sole:
    """One foot's points that can stand on something.

    side        L or R
    body        index of the foot in the basis
    names (N,)  heel, ball, toe, or as the clip calls them
    points      (T,N,3) metres, world: each lies on what bears it when the foot stands flat
    known (T,N) False in gaps, which points bridge
    """

    side: str
    body: int
    names: tuple[str, ...]
    points: Floats
    known: Bools


def find_sole(basis: "Basis", side: str) -> Sole | None:
    """The sole of one foot, or None without a foot.

    Points that the clip names on foot or toe are taken; else heel, ball and toe's tip are
    found from the rest pose. Each is lowered by what it lies above the floor at rest (the
    joint of the toes is a bone's thickness up), along the world's vertical.
    """
    foot, toe = basis.body(f"foot.{side}"), basis.body(f"toe.{side}")
    if foot is None:
        return None
    spots = _named(basis, [foot] if toe is None else [foot, toe]) or _guessed(basis, foot, toe)
    ground, up = rest_ground(basis), _rest_up(basis)
    paths = []
    for spot in spots:
        height = _rest_height(basis, spot, up)
        sunk = 0.0 if height is None or ground is None else max(height - ground, 0.0)
        paths.append(_path(basis, spot) - [0.0, 0.0, sunk])
    names, bodies = tuple(spot.name for spot in spots), [spot.body for spot in spots]
    return Sole(side, foot, names, np.stack(paths, axis=1), basis.valid[:, bodies])


@dataclass(frozen=True, eq=False)
class _Spot:
    """A point of a body: offset (3,) in the body's axes; at_rest: whether its place at rest
    tells how thick the foot is there."""

    name: str
    body: int
    offset: Floats
    at_rest: bool = True


def rest_ground(basis: "Basis") -> float | None:
    """The height that the figure stands on in its rest pose: of the lowest point of its feet."""
    spots = []
    for n, body in enumerate(basis.bodies):
        kind = (body.part or "").split(".")[0]
        if kind in _FEET:
            spots += [_Spot("", n, offset) for offset in basis.offsets[n, :2]]
            spots += _on_joint(basis, n)
        if kind == "foot" and (heel := _heel_offset(basis, n)) is not None:
            spots.append(_Spot("heel", n, heel))
    up = _rest_up(basis)
    known = [height for spot in spots if (height := _rest_height(basis, spot, up)) is not None]
    return min(known) if known else None


_FEET = ("foot", "toe")
# What may lie lower than the floor that a figure stands on at rest.
_NOT_STANDING = ("prop", "chain", "camera")
# A rest pose lies where its feet are this much further from the root along the level than up.
LYING_TIMES = 2.0
# A foot that points further down than this at rest (60 degrees: its level part is half of it)
# does not tell where its heel is.
LEVEL_LEAST = 0.5


def _named(basis: "Basis", bodies: list[int]) -> list[_Spot]:
    return [spot for body in bodies for spot in _on_joint(basis, body)]


def _on_joint(basis: "Basis", body: int) -> list[_Spot]:
    """The clip's points on a body's joint."""
    clip = basis.clip
    if clip.point_joint is None or clip.point_offset is None:
        return []
    on = np.flatnonzero(clip.point_joint == basis.bodies[body].joint)
    return [_Spot(clip.points[n], body, clip.point_offset[n]) for n in on]


def _guessed(basis: "Basis", foot: int, toe: int | None) -> list[_Spot]:
    """Heel, ball and toe; where nothing tells the heel, the ankle stands for it as it is."""
    heel = _heel_offset(basis, foot)
    spots = [
        _Spot("heel", foot, np.zeros(3) if heel is None else heel, at_rest=heel is not None),
        _Spot("ball", foot, basis.offsets[foot, 1]),
    ]
    return spots if toe is None else [*spots, _Spot("toe", toe, basis.offsets[toe, 1])]


def _path(basis: "Basis", spot: _Spot) -> Floats:
    """(T,3) a spot's path in the world."""
    offsets = np.broadcast_to(spot.offset, (len(basis.frames), 3))
    turned = quat.rotate(basis.rotations[:, spot.body], offsets)
    return np.asarray(basis.positions[:, spot.body] + turned)


def _rest_height(basis: "Basis", spot: _Spot, up: Floats) -> float | None:
    """How high a spot lies in the rest pose, along `_rest_up`; None where that is not known."""
    clip, joint = basis.clip, basis.bodies[spot.body].joint
    if clip.rest_positions is None or clip.rest_rotations is None or not spot.at_rest:
        return None
    place = clip.rest_positions[joint] + quat.rotate(clip.rest_rotations[joint], spot.offset)
    return float(place @ up)


def _rest_up(basis: "Basis") -> Floats:
    """(3,) the world's axis that points from feet to body at rest: Z, unless the figure lies."""
    rest = basis.clip.rest_positions
    feet = [body.joint for body in basis.bodies if (body.part or "").split(".")[0] == "foot"]
    if rest is None or not feet:
        return np.array([0.0, 0.0, 1.0])
    way = rest[basis.bodies[basis.lead].joint] - rest[feet].mean(axis=0)
    most = int(np.argmax(np.abs(way[:2])))
    most = most if abs(way[most]) > LYING_TIMES * abs(way[2]) else 2
    return np.asarray(np.where(way[most] < 0.0, -1.0, 1.0) * np.eye(3)[most])


def _heel_offset(basis: "Basis", foot: int) -> Floats | None:
    """(3,) the heel in the foot's axes: at rest it lies on the floor, behind the ankle by a
    third of what the foot's tip lies before it. None without a rest pose, or where the foot
    points down there."""
    clip, joint = basis.clip, basis.bodies[foot].joint
    if clip.rest_positions is None or clip.rest_rotations is None:
        return None
    ankle, rest, up = clip.rest_positions[joint], clip.rest_rotations[joint], _rest_up(basis)
    way = quat.rotate(rest, basis.offsets[foot, 1])
    level = way - (way @ up) * up
    if np.linalg.norm(level) < LEVEL_LEAST * np.linalg.norm(way):
        return None
    lowest = min((clip.rest_positions[_standing(basis)] @ up).min(), (ankle + way) @ up)
    heel = -HEEL_SHARE * level + (lowest - ankle @ up) * up
    return quat.rotate(quat.conjugate(rest), heel)


def _standing(basis: "Basis") -> list[int]:
    """Joints of the figure itself."""
    kinds = [((body.part or "").split(".")[0], body.joint) for body in basis.bodies]
    return [joint for kind, joint in kinds if kind not in _NOT_STANDING]


def heel_path(basis: "Basis", foot: int) -> Floats:
    """(T,3) the heel's path; where nothing tells the heel, the ankle stands for it."""
    return _path(basis, _guessed(basis, foot, None)[0])
