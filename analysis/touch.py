# SPDX-License-Identifier: GPL-3.0-or-later
"""Does a point hit something: what bears weight, or a part of the figure's own body?

Bodies are taken for rods from joint to tip with a rough thickness; common practice, no source.
"""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .parts import limb_of, split_part

Floats = NDArray[np.float64]

# How thick a body is around its bone, as shares of the height.
_THICK = {"root": 0.09, "pelvis": 0.09, "spine": 0.09, "chest": 0.09, "head": 0.06, "neck": 0.04}
_THICK |= {"thigh": 0.05, "shin": 0.035, "upper_arm": 0.035, "forearm": 0.03, "prop": 0.015}
_OTHER = 0.025
# What can be led against the own body.
_OUTER = ("forearm", "hand", "shin", "foot", "toe", "prop")
# Points this near to a surface, as a share of the height, touch it.
GAP_SHARE = 0.015
# What lands goes down by this share of its way. What hits a part goes towards it by the other:
# a hand that swings past the hip goes along it.
DOWN_SHARE, TOWARDS_SHARE = 0.4, 0.7


def touches(basis: Basis, body: int, at: int, way: Floats) -> bool:
    """Whether a body that goes along `way` (3,) hits something at a sample, by joint or tip.

    Something is the ground, a box that bears weight, or, for what is led by arms and legs, a
    body outside its own limb.
    """
    if not np.any(way):
        return False
    direction = way / np.linalg.norm(way)
    if -float(direction[2]) >= DOWN_SHARE and _on_ground(basis, body, at):
        return True
    if any(_on_box(basis, body, box[at], at, direction) for box in basis.ground.boxes):
        return True
    if split_part(basis.bodies[body].part or "")[0] not in _OUTER:
        return False
    chain = _chain(basis, body)
    others = [n for n, each in enumerate(basis.bodies) if n not in chain and each.part != "mover"]
    return any(_on_body(basis, body, other, at, direction) for other in others)


def _on_ground(basis: Basis, body: int, at: int) -> bool:
    near = (_thick(basis, body) + GAP_SHARE) * basis.height.scene_m
    points = np.broadcast_to(basis.marks[at, body, :2], (len(basis.frames), 2, 3))
    return bool((basis.ground.clearance(points)[at] < near).any())


def _on_box(basis: Basis, body: int, box: Floats, at: int, direction: Floats) -> bool:
    """Whether a body goes against any side of a box: (4,4), from the cube of -0.5 to 0.5."""
    near = (_thick(basis, body) + GAP_SHARE) * basis.height.scene_m
    for point in basis.marks[at, body, :2]:
        inside = np.linalg.solve(box, np.append(point, 1.0))[:3]
        gap = (box @ np.append(np.clip(inside, -0.5, 0.5), 1.0))[:3] - point
        far = float(np.linalg.norm(gap))
        if far <= near and float(gap @ direction) >= DOWN_SHARE * far:
            return True
    return False


def _on_body(basis: Basis, body: int, other: int, at: int, direction: Floats) -> bool:
    """Whether a body is at the skin of another one, and goes towards it."""
    near = _thick(basis, body) + _thick(basis, other) + GAP_SHARE
    for point in basis.marks[at, body, :2]:
        gap = _nearest(basis.marks[at, other, 0], basis.marks[at, other, 1], point) - point
        far = float(np.linalg.norm(gap))
        towards = far == 0.0 or float(gap @ direction) >= TOWARDS_SHARE * far
        if towards and far <= near * basis.height.scene_m:
            return True
    return False


def _chain(basis: Basis, body: int) -> set[int]:
    """What a body cannot hit: itself, its limb, what holds it, and what hangs on it."""
    limb = {basis.body(each) for each in limb_of(basis.bodies[body].part or "")}
    carried = {n for n in range(len(basis.bodies)) if body in basis.ancestors(n)}
    holder = set(basis.ancestors(body)[:1])
    return {body, *carried, *holder, *(each for each in limb if each is not None)}


def _nearest(start: Floats, end: Floats, point: Floats) -> Floats:
    """The point of a rod that is nearest to a point."""
    along = end - start
    square = float(along @ along)
    share = float((point - start) @ along) / square if square > 0.0 else 0.0
    return np.asarray(start + min(max(share, 0.0), 1.0) * along)


def _thick(basis: Basis, body: int) -> float:
    return _THICK.get(split_part(basis.bodies[body].part or "")[0], _OTHER)
