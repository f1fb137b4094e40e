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
_OUTER = ("forearm", "hand", "shin", "foot", "toe")
# Points this near to a surface, as a share of the height, touch it.
GAP_SHARE = 0.02
# What hits a surface goes into it by this share of its way; the rest is along it.
INTO_SHARE = 0.4


def touches(basis: Basis, body: int, mark: int, at: int, way: Floats) -> bool:
    """Whether a mark that goes along `way` (3,) hits something at a sample.

    Something is the ground, a box that bears weight, or a body that neither carries it nor
    hangs on it.
    """
    if not np.any(way):
        return False
    point = basis.marks[at, body, mark]
    direction = way / np.linalg.norm(way)
    down = -float(direction[2]) >= INTO_SHARE
    return (down and _on_ground(basis, body, point, at)) or _on_body(
        basis, body, point, at, direction
    )


def _on_ground(basis: Basis, body: int, point: Floats, at: int) -> bool:
    near = (_thick(basis, body) + GAP_SHARE) * basis.height.scene_m
    points = np.broadcast_to(point, (len(basis.frames), 1, 3))
    return bool(basis.ground.clearance(points)[at, 0] < near)


def _on_body(basis: Basis, body: int, point: Floats, at: int, direction: Floats) -> bool:
    height, own = basis.height.scene_m, _thick(basis, body)
    chain = _chain(basis, body)
    for other in range(len(basis.bodies)):
        if other in chain or not basis.bodies[other].judged:
            continue
        gap = _nearest(basis.marks[at, other, 0], basis.marks[at, other, 1], point) - point
        far = float(np.linalg.norm(gap))
        if far > (own + _thick(basis, other) + GAP_SHARE) * height:
            continue
        if far == 0.0 or float(gap @ direction) >= INTO_SHARE * far:
            return True
    return False


def _chain(basis: Basis, body: int) -> set[int]:
    """What a body cannot hit: itself, its limb, what hangs on it, and what carries it.

    The outer half of a limb may hit the trunk that carries it.
    """
    part = basis.bodies[body].part or ""
    limb = {basis.body(each) for each in limb_of(part)}
    carried = {n for n in range(len(basis.bodies)) if body in basis.ancestors(n)}
    found = {body, *carried, *(each for each in limb if each is not None)}
    return found if split_part(part)[0] in _OUTER else found | set(basis.ancestors(body))


def _nearest(start: Floats, end: Floats, point: Floats) -> Floats:
    """The point of a rod that is nearest to a point."""
    along = end - start
    square = float(along @ along)
    share = float((point - start) @ along) / square if square > 0.0 else 0.0
    return np.asarray(start + min(max(share, 0.0), 1.0) * along)


def _thick(basis: Basis, body: int) -> float:
    return _THICK.get(split_part(basis.bodies[body].part or "")[0], _OTHER)
