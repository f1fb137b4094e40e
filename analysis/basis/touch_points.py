# SPDX-License-Identifier: GPL-3.0-or-later
"""Which points of a figure touch what bears it, frame by frame.

Points are joints and tips of all bodies, and the soles' points. One touches that is near to the
floor or to a box that bears weight (shares of the height, at 1.7 m: 6 cm, and 13 cm for joints that
lie deep in the body), a sole's point also up to 15 cm where it is still (captured soles float), a
hand, foot or toe that rests on any face of a box, and a deep joint that leans on one.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..parts import is_apart, split_part
from .contacts import STILL_SHARE, Soles, runs, without_short
from .holding import leaning

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

# Shares of the height; at 1.7 m: a point nearer than this touches (6 cm; 13 cm for the joints
# of trunk and head, and of knee and elbow, which lie deep in the body), and a sole that is
# still stands up to here (15 cm): captured soles float.
TOUCH_SHARE, TRUNK_SHARE, STILL_UP_TO_SHARE = 0.06 / 1.7, 0.13 / 1.7, 0.15 / 1.7
# Still for so long, or it only passes.
STILL_S = 0.1
# A sole that comes up by this (1 cm) within this time before it is still, and goes down by it
# after, is at the top of a hop. Still for longer than this, it stands on something.
TOP_SHARE, TOP_NEAR_S, TOP_LONGEST_S = 0.01 / 1.7, 0.1, 0.4
_DEEP = ("root", "pelvis", "spine", "chest", "neck", "head", "shoulder")
_DEEP_JOINT = ("shin", "forearm")
_GRIPS = "hand"


@dataclass(frozen=True, eq=False)
class TouchPoints:
    """N points of the figure.

    body (N,)      the body that each is on; sole (N,) whether it is a point of a sole
    place (T,N,3)  metres, world
    touches (T,N)  whether it touches floor or support
    holds (T,N)    whether it may pull too, in any direction: a hand on a support, and whatever
                   rests on a face that does not bear it from below
    which (T,N)    the box under it, or ground.FLOOR
    """

    body: Ints
    sole: Bools
    place: Floats
    touches: Bools
    holds: Bools
    which: Ints


def find_touch_points(basis: "Basis") -> TouchPoints:
    """The points of a figure, and which of them touch; none (N = 0) without parts and soles."""
    count = len(basis.frames)
    parts = [_of_body(basis), *(_of_sole(basis, each) for each in basis.soles)]
    found = [each for each in parts if each is not None]
    if found:
        return TouchPoints(
            body=np.concatenate([each.body for each in found]),
            sole=np.concatenate([each.sole for each in found]),
            place=np.concatenate([each.place for each in found], axis=1),
            touches=np.concatenate([each.touches for each in found], axis=1),
            holds=np.concatenate([each.holds for each in found], axis=1),
            which=np.concatenate([each.which for each in found], axis=1),
        )
    none = np.zeros((count, 0), dtype=bool)
    empty = np.zeros(0, dtype=np.int64)
    return TouchPoints(
        empty, none[0], np.zeros((count, 0, 3)), none, none, np.zeros((count, 0), dtype=np.int64)
    )


def _of_body(basis: "Basis") -> TouchPoints | None:
    """Joint and tip of each body of the figure."""
    chosen = [n for n, b in enumerate(basis.bodies) if b.part is not None and not is_apart(b.part)]
    if not chosen:
        return None
    kinds = [split_part(basis.bodies[n].part or "")[0] for n in chosen]
    near = [
        (
            TRUNK_SHARE if kind in (*_DEEP, *_DEEP_JOINT) else TOUCH_SHARE,
            TRUNK_SHARE if kind in _DEEP else TOUCH_SHARE,
        )
        for kind in kinds
    ]
    count = len(basis.frames)
    place = basis.marks[:, chosen, :2].reshape(count, -1, 3)
    height, which = basis.ground.surface(place)
    low = place[..., 2] - height < np.array(near).ravel() * basis.height.scene_m
    low &= np.repeat(basis.valid[:, chosen], 2, axis=1)
    rests = basis.held[:, chosen].reshape(count, -1).copy()
    rests[:, ::2] |= leaning(basis)[:, chosen]
    grips = np.repeat([kind == _GRIPS for kind in kinds], 2)
    return TouchPoints(
        body=np.repeat(np.array(chosen, dtype=np.int64), 2),
        sole=np.zeros(2 * len(chosen), dtype=bool),
        place=place,
        touches=np.asarray(low | rests),
        holds=np.asarray(rests & (grips | ~low)),
        which=which,
    )


def _of_sole(basis: "Basis", soles: Soles) -> TouchPoints:
    """The points of a sole: near what bears them, or still not far above it."""
    height = basis.height.scene_m
    touches = soles.clearance < TOUCH_SHARE * height
    still = (soles.clearance < STILL_UP_TO_SHARE * height) & (soles.speed < STILL_SHARE * height)
    least = max(round(STILL_S / basis.dt_s), 2)
    for point, column in enumerate(still.T):
        lasting = without_short(column, True, least - 1)
        touches[:, point] |= _without_tops(basis, lasting, soles.clearance[:, point])
    count = touches.shape[1]
    return TouchPoints(
        body=np.full(count, soles.sole.body, dtype=np.int64),
        sole=np.ones(count, dtype=bool),
        place=soles.sole.points,
        touches=touches,
        holds=np.zeros_like(touches),
        which=soles.which,
    )


def _without_tops(basis: "Basis", still: Bools, clearance: Floats) -> Bools:
    """(T,) where a sole point is still, without the tops of its hops."""
    stands = still.copy()
    near = max(round(TOP_NEAR_S / basis.dt_s), 1)
    for first, last in runs(still):
        before = clearance[max(first - near, 0) : first]
        after = clearance[last + 1 : last + 1 + near]
        short = (last - first) * basis.dt_s <= TOP_LONGEST_S
        if short and len(before) and len(after):
            under = clearance[first : last + 1].min() - TOP_SHARE * basis.height.scene_m
            stands[first : last + 1] = max(before.min(), after.min()) > under
    return stands
