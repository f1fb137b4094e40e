# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the centre of mass is against what bears the figure, and where it is going.

A body that stands on a support falls over its edge as an inverted pendulum does. Its extrapolated
centre of mass is where it would come to stand over: x + v / w0, w0 = sqrt(g / l), l the height of
the centre of mass over the support (Hof, Gazendam & Sinke 2005, J Biomech 38:1-8). While that is
beyond the edge, nothing but a step brings the body back.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.ground import LOW_SHARE
from .basis.loads import counted_loads
from .basis.mass import body_centre
from .basis.plane_hulls import HullGap, hull_gap, pooled
from .exposure import ALONE_SHARE, HELD_SHARE, SAME_SHARE
from .free_fall import GRAVITY
from .memory import Memory
from .parts import SIDES, split_part

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

# A foot is .055 of the height wide (Drillis & Contini 1966, in Winter 2009, Figure 4.1; from
# memory): a sole that is known by points on a line gets half of that to either side.
HALF_WIDTH_SHARE = 0.0275
# What touches within this time bears: contacts are told a frame early or late.
POOLED_S = 0.05
# A pose of stepped blocking that is shown for so long is held (common practice, no source).
HOLD_S = 0.6
# Whose chest, hips and shoulders are all lower than this (17 cm at 1.7 m) lies: a trunk is as thick
# as .14 of the height, its joints in the middle of it (from memory), and rigs are rough.
LIES_SHARE = 0.1
SHINS, THIGHS, FOREARMS = ("shin",), ("thigh",), ("forearm",)
# The centre of mass lies this high over its support at least, as a share of the height.
LEAST_HEIGHT_SHARE = 0.1


@dataclass(frozen=True, eq=False)
class Balance:
    """T frames.

    com (T,2)        centre of mass, metres, seen from above; speed (T,2) m/s over the ground
    body (T,2)       of the body alone, without what it holds
    rate (T,)        w0, 1/s
    points (T,N,2)   what may bear the figure; bears (T,N) which of them do
    memory           knows gaps that were worked out before, or None
    """

    com: Floats
    body: Floats
    speed: Floats
    rate: Floats
    points: Floats
    bears: Bools
    memory: Memory | None = None

    @cached_property
    def extrapolated(self) -> Floats:
        """(T,2) where it is going."""
        return np.asarray(self.com + self.speed / self.rate[:, None])

    @cached_property
    def com_gap(self) -> HullGap:
        """How far the centre of mass is outside of its support."""
        return self._gap_of("com", self.com)

    @cached_property
    def body_gap(self) -> HullGap:
        """How far the centre of mass of the body alone is."""
        alike = np.array_equal(self.body, self.com)
        return self.com_gap if alike else self._gap_of("body", self.body)

    @cached_property
    def gap(self) -> HullGap:
        """How far the extrapolated centre of mass is."""
        return self._gap_of("extrapolated", self.extrapolated)

    def _gap_of(self, name: str, of: Floats) -> HullGap:
        return hull_gap(self.points, self.bears, of, self.memory, name)


def find_balance(basis: Basis) -> Balance | None:
    """The balance of a figure; None where its centre of mass is not known."""
    com, speed = basis.com, basis.com_velocity
    if com is None or speed is None:
        return None
    points, bears = _bearing(basis)
    places = np.where(bears[..., None], points, np.nan)
    counts = np.maximum(bears.sum(axis=1), 1)
    level = np.nansum(places[..., 2], axis=1) / counts
    height = np.maximum(com[:, 2] - level, LEAST_HEIGHT_SHARE * basis.height.scene_m)
    used_points, used = pooled(points[..., :2], bears, max(round(POOLED_S / basis.dt_s), 1))
    return Balance(
        com=com[:, :2],
        body=_of_body(basis, com)[:, :2],
        speed=(_of_poses(basis, com, speed) - basis.ground.velocity)[:, :2],
        rate=np.sqrt(gravity_of(basis) / height),
        points=used_points,
        bears=used,
        memory=basis.memory,
    )


def _of_body(basis: Basis, com: Floats) -> Floats:
    """(T,3) the centre of mass of the body without what it holds."""
    body = body_centre(basis) if counted_loads(basis) else None
    return com if body is None else body


def _pose_starts(basis: Basis, com: Floats) -> Ints | None:
    """The samples on which poses of stepped blocking begin; None where it is none."""
    moved = np.linalg.norm(np.diff(com, axis=0), axis=-1) > SAME_SHARE * basis.height.scene_m
    beside = np.concatenate(([False], moved[:-1])) | np.append(moved[1:], False)
    if np.mean(moved) > 1.0 - HELD_SHARE or np.sum(moved & ~beside) <= ALONE_SHARE * moved.sum():
        return None
    return np.concatenate(([0], np.flatnonzero(moved) + 1))


def passing_poses(basis: Basis) -> Bools:
    """(T,) whether a pose of stepped blocking is the last before one in the air, or the first
    after it: who takes off or lands is out of balance by right, however long it is shown."""
    count = len(basis.frames)
    starts = None if basis.com is None else _pose_starts(basis, basis.com)
    if starts is None:
        return np.zeros(count, dtype=bool)
    off = np.array(~basis.touch_points.touches.any(axis=1))
    for flight in basis.flights:
        off[flight.first : flight.last + 1] = True
    lasts = np.diff(np.append(starts, count))
    air = np.add.reduceat(off.astype(int), starts) > 0.5 * lasts
    beside = np.append(air[1:], False) | np.append(False, air[:-1])
    return np.repeat(~air & beside, lasts)


def _of_poses(basis: Basis, com: Floats, speed: Floats) -> Floats:
    """(T,3) the centre of mass's speed; of stepped blocking, where poses stand and then jump, that
    at which a pose goes to the next one, and none where it is shown for so long that it is held."""
    starts = _pose_starts(basis, com)
    if starts is None:
        return speed
    lasts = np.diff(np.append(starts, len(com))) * basis.dt_s
    ways = np.diff(com[starts], axis=0, append=com[starts[-1:]])
    ways[lasts >= HOLD_S] = 0.0
    return np.asarray(
        np.repeat(ways / lasts[:, None], np.diff(np.append(starts, len(com))), axis=0)
    )


def of_feet(basis: Basis) -> Bools:
    """(N,) which touch points are the feet's: of soles, feet and toes, and where shins end."""
    touch = basis.touch_points
    return np.asarray(touch.sole | _on(basis, ("foot", "toe")) | (_tips(basis) & _on(basis, SHINS)))


def lies(basis: Basis) -> Bools:
    """(T,) whether the figure rests on more than feet, hands and knees: then flesh bears it, which
    reaches further than the points that touch; and where chest and hips are as near to the ground
    as half a trunk is thick. Root and pelvis are left out: some rigs have them on the floor for
    good."""
    touch = basis.touch_points
    knees = ~_tips(basis) & _on(basis, SHINS) | _tips(basis) & _on(basis, THIGHS)
    ends = (
        of_feet(basis)
        | knees
        | _on(basis, ("hand", "root", "pelvis"))
        | _tips(basis) & _on(basis, FOREARMS)
    )
    return np.asarray(touch.touches[:, ~ends].any(axis=1) | _trunk_is_down(basis))


def _trunk_is_down(basis: Basis) -> Bools:
    """(T,) whether chest, both hips and both shoulders are all near to floor or supports."""
    parts = ("chest", *(f"{kind}.{side}" for kind in ("thigh", "upper_arm") for side in SIDES))
    bodies = [body for part in parts if (body := basis.body(part)) is not None]
    if len(bodies) < len(parts):
        return np.zeros(len(basis.frames), dtype=bool)
    clearance = basis.ground.clearance(basis.positions[:, bodies])
    return np.asarray((clearance < LIES_SHARE * basis.height.scene_m).all(axis=1))


def _on(basis: Basis, kinds: tuple[str, ...]) -> Bools:
    """(N,) which touch points are on bodies of these kinds."""
    chosen = [split_part(body.part or "")[0] in kinds for body in basis.bodies]
    return np.asarray(np.array(chosen, dtype=bool)[basis.touch_points.body])


def _tips(basis: Basis) -> Bools:
    """(N,) which are tips of bodies: of each, joint and tip follow each other."""
    touch = basis.touch_points
    return np.asarray(~touch.sole & (np.arange(len(touch.body)) % 2 == 1))


def gravity_of(basis: Basis) -> float:
    """Gravity in scene metres per second squared, of a figure of unknown size as of a grown one."""
    return GRAVITY / basis.height.to_person


def _bearing(basis: Basis) -> tuple[Floats, Bools]:
    """Points (T,N,3) that touch, soles as wide as feet are, and (T,N) when they do.

    Captured soles float, so that a whole foot may stand some way up; but of one foot only what is
    about as low as its lowest point bears: a heel that is lifted does not.
    """
    touch = basis.touch_points
    on_all = touch.touches.copy()
    places, bears = [touch.place], [on_all]
    for n, each in enumerate(basis.soles):
        mine = touch.sole & (touch.body == each.sole.body)
        lowest = each.clearance.min(axis=1, keepdims=True)
        on_all[:, mine] &= each.clearance < lowest + LOW_SHARE * basis.height.scene_m
        aside = _aside(basis, n)
        for way in (-1.0, 1.0):
            places.append(touch.place[:, mine] + way * aside[:, None])
            bears.append(on_all[:, mine])
    return np.concatenate(places, axis=1), np.concatenate(bears, axis=1)


def _aside(basis: Basis, foot: int) -> Floats:
    """(T,3) from a sole's middle line to its edge, level; zero where its points lie there."""
    sole = basis.soles[foot].sole
    along = basis.marks[:, sole.body, 1] - basis.marks[:, sole.body, 0]
    length = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
    across = np.stack((-along[:, 1] / length, along[:, 0] / length, 0.0 * length), axis=-1)
    own = np.ptp(np.einsum("tnx,tx->tn", sole.points, across), axis=1) / 2.0
    wide = max(HALF_WIDTH_SHARE * basis.height.scene_m - float(np.median(own)), 0.0)
    return np.asarray(wide * across)
