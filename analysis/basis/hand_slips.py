# SPDX-License-Identifier: GPL-3.0-or-later
"""How far a hand slips over a declared support that it rests on: a wall, a rung, a ledge."""

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..parts import SIDES
from .boxes import Within, carried_by, within
from .contact_spot import spot_steps
from .contacts import Plant, Soles, find_plants, runs
from .ground import LOW_SHARE, UNDER_SHARE
from .slips import MIDDLE, Part, Slip, slip_of
from .soles import Sole

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A hand that only hangs beside a wall comes near it and is slow: one that rests on it is slower
# than this share of the height a second (.1 m/s at 1.7 m) for so long.
RESTS_SHARE, RESTS_S = 0.1 / 1.7, 0.1
# A side of a box that is shorter than this share of the height (10 cm) is gripped: a hand may turn
# about it.
GRIP_SHARE = 0.1 / 1.7
# Far from any box, metres.
_AWAY = 1e6


def find_hand_slips(basis: "Basis") -> tuple[Slip, ...]:
    """How each hand slips in each of its stays on a support, left first; ways in the world.

    A hand is planted on the box that is nearest, near a face of it and slow over it as feet are
    (`find_plants`), by its joint or its tip; it slips along that face, and along a rung.
    """
    found: list[Slip] = []
    for side in SIDES:
        body = basis.body(f"hand.{side}")
        if body is not None and len(basis.ground.boxes) and len(basis.frames) > 2:
            found += _of_hand(basis, side, body)
    return tuple(found)


def _of_hand(basis: "Basis", side: str, body: int) -> list[Slip]:
    points = basis.marks[:, body, :2]
    seen = [within(box, points) for box in basis.ground.boxes]
    nearest = np.argmin(np.abs([each.gap for each in seen]), axis=0)
    known = np.repeat(basis.valid[:, [body]], 2, axis=1)
    sole = Sole(side, body, ("joint", "tip"), points, known)
    found = []
    for n, (box, each) in enumerate(zip(basis.ground.boxes, seen, strict=True)):
        inside = each.gap < -UNDER_SHARE * basis.height.scene_m
        far = (nearest != n) | inside | ~(each.gap < LOW_SHARE * basis.height.scene_m)
        if far.all():
            continue
        contact = _over(basis, sole, box, each, np.where(far, _AWAY, np.abs(each.gap)), n)
        found += [_slip(basis, contact, plant, each) for plant in find_plants(basis, contact)]
    return sorted((slip for slip in found if slip is not None), key=lambda slip: slip.plant.first)


def _over(
    basis: "Basis", sole: Sole, box: Floats, seen: Within, clearance: Floats, number: int
) -> Soles:
    """The hand's points over a box, their steps along its sides, as soles are over the floor."""
    steps = sole.points[1:] - carried_by(box, sole.points[:-1])
    along = np.einsum("tji,tnj->tni", seen.sides[1:], steps)
    pace = np.linalg.norm(along, axis=-1) / basis.dt_s
    ends = np.full((1, pace.shape[1]), np.inf)
    speed = np.minimum(np.concatenate((ends, pace)), np.concatenate((pace, ends)))
    return Soles(sole, clearance, np.full(clearance.shape, number), along, speed)


def _slip(basis: "Basis", contact: Soles, plant: Plant, seen: Within) -> Slip | None:
    """How the hand slips in one stay; None where it never rests."""
    height, rows = basis.height.scene_m, slice(plant.first, plant.last + 1)
    beyond = seen.beyond[rows]
    normal = int(np.argmax(np.median(beyond[:, np.argmin(contact.clearance[rows].min(0))], axis=0)))
    order = [axis for axis in range(3) if axis != normal] + [normal]
    counts = (2.0 * seen.half[rows].max(axis=0) > GRIP_SHARE * height)[order] * 1.0
    counts[2] = 1.0
    flat = replace(contact, steps=contact.steps[..., order] * counts)
    steps, found = spot_steps(flat, plant.first, plant.last, height, memory=basis.memory)
    low = np.array(found)
    slow = np.linalg.norm(steps, axis=-1) < RESTS_SHARE * height * basis.dt_s
    least = max(round(RESTS_S / basis.dt_s), 2)
    rests = [(a, b) for a, b in runs(np.asarray(slow & low)) if b - a + 1 >= least]
    if not rests:
        return None
    # Before it first rests it comes, and after it last rests it goes.
    low[: rests[0][0]] = low[rests[-1][1] + 1 :] = False
    slip = slip_of(basis, plant, (plant.first, plant.last), steps, low, low)
    parts = [part for part in slip.parts if part.name == MIDDLE]
    return replace(slip, parts=tuple(_in_world(part, seen, order) for part in parts))


def _in_world(part: Part, seen: Within, order: list[int]) -> Part:
    """The same part of a stay with its ways turned from the box's sides into the world."""
    sides = seen.sides[part.peak][:, order]
    return replace(part, way=sides @ part.way, exact=sides @ part.exact, quick=())
