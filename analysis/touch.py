# SPDX-License-Identifier: GPL-3.0-or-later
"""Does a point hit something: what bears weight, or a part of the figure's own body?

Bodies are taken for rods from joint to tip with a rough thickness; common practice, no source.
"""

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .parts import limb_of, split_part
from .stops import rest_steps

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# How thick a body is around its bone, as shares of the height.
_THICK = {"root": 0.09, "pelvis": 0.09, "spine": 0.09, "chest": 0.09, "head": 0.06, "neck": 0.04}
_THICK |= {"thigh": 0.05, "shin": 0.035, "upper_arm": 0.035, "forearm": 0.03, "prop": 0.015}
_OTHER = 0.02
# What can be led against the own body.
_OUTER = ("forearm", "hand", "shin", "foot", "toe", "prop")
# What hits a body stays on it: while it rests, it goes no further in a step, as that body sees
# it, than by this share of the step that it came with.
STAYS_SHARE = 0.25
# Points this near to a surface, as a share of the height, touch it.
GAP_SHARE = 0.01
# What lands goes down by this share of its last step. What hits a part has gone towards it by
# the other share of its way for some time: a hand that swings past the hip goes along it.
DOWN_SHARE, TOWARDS_SHARE, APPROACH_S = 0.4, 0.7, 0.2
# What turns at a surface is as near to it as this, and has come towards it by half of its way.
MEETS_SHARE, TOWARDS_HALF = 0.02, 0.5


def touches(basis: Basis, body: int, at: int, *, leaves: bool) -> bool:
    """Whether a body hits something as it comes to a sample, or leaves it from there.

    It is followed by joint and tip. Something is the ground, a box that bears weight, or, for
    what is led by arms and legs, a body outside its own limb, on which it then stays: a hand
    that stands still in the world beside a hip that walks on has hit nothing.
    """
    side = 1 if leaves else -1
    before = at + side
    if not 0 <= before < len(basis.frames):
        return False
    ways = basis.marks[at, body, :2] - basis.marks[before, body, :2]
    lengths = np.linalg.norm(ways, axis=-1)
    direction = ways[int(np.argmax(lengths))] / max(float(lengths.max()), 1e-12)
    if -float(direction[2]) >= DOWN_SHARE and _on_ground(basis, body, at):
        return True
    if any(_on_box(basis, body, box[at], at, direction) for box in basis.ground.boxes):
        return True
    if split_part(basis.bodies[body].part or "")[0] not in _OUTER:
        return False
    count = len(basis.frames)
    way = at + side * np.arange(max(round(APPROACH_S / basis.dt_s), 2) + 1)
    way = way[(way >= 0) & (way < count)]
    rest = at - side * np.arange(rest_steps(basis.dt_s) + 1)
    rest = rest[(rest >= 0) & (rest < count)]
    chain = _chain(basis, body)
    others = [n for n, each in enumerate(basis.bodies) if n not in chain and each.part != "mover"]
    return any(_on_body(basis, body, other, way, rest) for other in others)


def meets(basis: Basis, body: int, at: int) -> bool:
    """Whether a body is led against something by a sample, however it goes on from there: joint
    or tip are near to it, and have come nearer by half of what they went in the last two frames.

    Something is the ground, a box that bears weight, or a body outside its own limb.
    """
    before = max(at - 2, 0)
    points = basis.marks[[before, at], body, :2]
    gone = np.linalg.norm(points[1] - points[0], axis=-1)
    chain = _chain(basis, body)
    near = (_thick(basis, body) + MEETS_SHARE) * basis.height.scene_m
    gaps = [(_above_ground(basis, points, (before, at)), near)]
    gaps += [(_from_box(box[[before, at]], points), near) for box in basis.ground.boxes]
    for n, other in enumerate(basis.bodies):
        if n not in chain and other.part != "mover":
            rods = basis.marks[[before, at], n]
            nearest = _nearest(rods[:, None, 0], rods[:, None, 1], points)
            thick = _thick(basis, n) * basis.height.scene_m
            gaps.append((np.linalg.norm(nearest - points, axis=-1), near + thick))
    return any(
        bool(((gap[1] < least) & (gap[0] - gap[1] >= TOWARDS_HALF * gone)).any())
        for gap, least in gaps
    )


def _above_ground(basis: Basis, points: Floats, samples: tuple[int, int]) -> Floats:
    """(2,2) how high points (2,2,3) of two samples are above what lies under them."""
    every = np.repeat(points[:1], len(basis.frames), axis=0)
    every[list(samples)] = points
    return np.asarray(basis.ground.clearance(every)[list(samples)])


def _from_box(box: Floats, points: Floats) -> Floats:
    """(2,2) how far points (2,2,3) are from a box (2,4,4), on two samples; infinitely far from one
    that is scaled away."""
    away = np.full(points.shape[:2], np.inf)
    for n, each in enumerate(box):
        if each[:3, :3].any():
            away[n] = np.linalg.norm(_nearest_in(each, points[n]) - points[n], axis=-1)
    return away


def _nearest_in(box: Floats, points: Floats) -> Floats:
    """(N,3) the points of a box (4,4), which may be flat, that are nearest to others (N,3)."""
    inside = (points - box[:3, 3]) @ np.linalg.pinv(box[:3, :3]).T
    return np.asarray(np.clip(inside, -0.5, 0.5) @ box[:3, :3].T + box[:3, 3])


def _on_ground(basis: Basis, body: int, at: int) -> bool:
    near = (_thick(basis, body) + GAP_SHARE) * basis.height.scene_m
    points = np.broadcast_to(basis.marks[at, body, :2], (len(basis.frames), 2, 3))
    return bool((basis.ground.clearance(points)[at] < near).any())


def _on_box(basis: Basis, body: int, box: Floats, at: int, direction: Floats) -> bool:
    """Whether a body goes against any side of a box: (4,4), from the cube of -0.5 to 0.5."""
    near = (_thick(basis, body) + GAP_SHARE) * basis.height.scene_m
    if not box[:3, :3].any():
        return False
    points = basis.marks[at, body, :2]
    for gap in _nearest_in(box, points) - points:
        far = float(np.linalg.norm(gap))
        if far <= near and float(gap @ direction) >= DOWN_SHARE * far:
            return True
    return False


def _on_body(basis: Basis, body: int, other: int, way: Ints, rest: Ints) -> bool:
    """Whether a body is at the skin of another one at the first sample of its way, has gone
    straight towards it over the whole of it, and in its last step, and rests on it."""
    near = _thick(basis, body) + _thick(basis, other) + GAP_SHARE
    rod = basis.marks[way, other, :2]
    for mark in (0, 1):
        points = basis.marks[way, body, mark]
        far = np.linalg.norm(_nearest(rod[:, 0], rod[:, 1], points) - points, axis=-1)
        steps = np.linalg.norm(np.diff(points - rod[:, 0], axis=0), axis=-1)
        towards = far[-1] - far[0] >= TOWARDS_SHARE * steps.sum()
        towards &= far[1] - far[0] >= TOWARDS_SHARE * steps[0]
        at_skin = steps[0] > 0.0 and far[0] <= near * basis.height.scene_m
        if (
            towards
            and at_skin
            and _stays(basis, other, rest, basis.marks[rest, body, mark], steps[0])
        ):
            return True
    return False


def _stays(basis: Basis, other: int, rest: Ints, points: Floats, step: float) -> bool:
    """Whether points (N,3) rest as a body sees them, beside the step that they came with."""
    back = quat.conjugate(basis.rotations[rest, other])
    seen = quat.rotate(back, points - basis.marks[rest, other, 0])
    steps = np.linalg.norm(np.diff(seen, axis=0), axis=-1)
    return bool(steps.max(initial=0.0) <= STAYS_SHARE * step)


def _chain(basis: Basis, body: int) -> set[int]:
    """What a body cannot hit: itself, its limb, what holds it, and what hangs on it."""
    limb = {basis.body(each) for each in limb_of(basis.bodies[body].part or "")}
    carried = {n for n in range(len(basis.bodies)) if body in basis.ancestors(n)}
    holder = set(basis.ancestors(body)[:1])
    return {body, *carried, *holder, *(each for each in limb if each is not None)}


def _nearest(starts: Floats, ends: Floats, points: Floats) -> Floats:
    """(...,3) the places on rods that are nearest to points."""
    along = ends - starts
    square = np.maximum(np.sum(along * along, axis=-1), 1e-12)
    share = np.clip(np.sum((points - starts) * along, axis=-1) / square, 0.0, 1.0)
    return np.asarray(starts + share[..., None] * along)


def _thick(basis: Basis, body: int) -> float:
    return _THICK.get(split_part(basis.bodies[body].part or "")[0], _OTHER)
