# SPDX-License-Identifier: GPL-3.0-or-later
"""Does a whole shot skate? The speed over the ground that all feet share while they stand.

A figure that is carried too fast or too slow over the floor stands on it as if the floor moved:
every foot goes the same way at the same speed, stride after stride. Feet that go faster than a
foot that stands (.4 m/s) are told by that as well: what is planted is asked of a floor that goes
along with them.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.build import build_basis
from .basis.contacts import Plant, Soles
from .basis.ground import FLOOR, LOW_SHARE
from .basis.slips import are_held
from .parts import SIDES

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Shares of the height a second; at 1.7 m: slower than 2 cm/s nobody skates. What agrees with the
# common speed lies within this share of it, and no nearer than that is asked (5 cm/s).
LEAST_SHARE, NEAR_SHARE, NEAR_LEAST_SHARE = 0.02 / 1.7, 0.35, 0.05 / 1.7
# Rounds in which the common speed is found again from what agrees with it.
# The middle of vectors is come near to in so many steps.
ROUNDS, WEISZFELD = 5, 40
# A floor that goes along leaves the feet this share of what they move over one that does not, and
# so little (.2 m/s at 1.7 m): captured feet that skate are left .03.
LEAVES, STANDS_SHARE = 0.5, 0.2 / 1.7
# Feet that never step may glide, but walk nowhere: so many plants at least. For so much of the time
# that they last they go that way, at this share of the common speed or more.
LEAST_PLANTS, MOST_PLANTS, FAST_ENOUGH = 3, 0.75, 0.5
# How far a plant must go, as a share of the height (at 1.7 m): where feet are held 1 cm, else 4.
HELD_SHARE, FREE_SHARE = 0.01 / 1.7, 0.04 / 1.7


@dataclass(frozen=True, eq=False)
class Skate:
    """velocity (3,)   m/s of the planted feet over what bears them, level, and what is left of it
    plants           those that skate; of `basis`
    seconds          how long a plant lasts, the mean
    limit            how far a plant may go, scene metres
    basis            the same motion over a floor that goes along
    """

    velocity: Floats
    plants: tuple[Plant, ...]
    seconds: float
    limit: float
    basis: Basis

    @property
    def way(self) -> Floats:
        """(3,) how far a foot goes in one plant, metres."""
        return self.velocity * self.seconds


def find_skate(basis: Basis, factor: float) -> Skate | None:
    """How a shot skates as a whole, or None. `factor` widens what is allowed."""
    if len(basis.soles) < len(SIDES) or len(basis.frames) < 4:
        return None
    common = common_velocity(basis)
    height = basis.height.scene_m
    if common is None or float(np.linalg.norm(common)) < LEAST_SHARE * height:
        return None
    along = _along(basis, common)
    plants = along.plants
    if len(plants) < LEAST_PLANTS or {plant.side for plant in plants} != set(SIDES):
        return None
    if not _explains(basis, along):
        return None
    drifts = np.array([_drift(along, plant) + common for plant in plants])
    speed = float(np.linalg.norm(common))
    goes = drifts @ common / speed > FAST_ENOUGH * speed
    lasts = np.array([plant.last - plant.first for plant in plants])
    if lasts[goes].sum() < MOST_PLANTS * lasts.sum():
        return None
    skating = tuple(plant for plant, each in zip(plants, goes, strict=True) if each)
    seconds = float(lasts[goes].mean()) * basis.dt_s
    held = are_held(along, along.slips)
    limit = factor * (HELD_SHARE if held else FREE_SHARE) * height
    if speed * seconds <= limit:
        return None
    return Skate(common, skating, seconds, limit, along)


def common_velocity(basis: Basis) -> Floats | None:
    """(3,) m/s, level: how the lowest sole points go over the floor on most frames, or None.

    On each frame the lowest point, where it is low, is most likely the one that stands.
    """
    low, told = _lowest(basis)
    if low.sum() < 2:
        return None
    told, height = told[low], basis.height.scene_m
    common = _middle(told)
    for _ in range(ROUNDS):
        near = max(NEAR_SHARE * float(np.linalg.norm(common)), NEAR_LEAST_SHARE * height)
        alike = np.linalg.norm(told - common, axis=1) < near
        if not alike.any():
            return None
        common = _middle(told[alike])
    return np.array([*common, 0.0])


def _middle(vectors: Floats) -> Floats:
    """(2,) what is least far from all vectors (N,2) together, whatever way the figure faces
    (Weiszfeld 1937, any textbook)."""
    middle = vectors.mean(axis=0)
    for _ in range(WEISZFELD):
        away = np.linalg.norm(vectors - middle, axis=1)
        weights = 1.0 / np.maximum(away, 1e-9)
        middle = (weights[:, None] * vectors).sum(axis=0) / weights.sum()
    return np.asarray(middle)


def _lowest(basis: Basis) -> tuple[Bools, Floats]:
    """Whether the lowest sole point is low and over the floor (T-1,), and its velocity (T-1,2)."""
    height = basis.height.scene_m
    clear = np.concatenate([each.clearance for each in basis.soles], axis=1)
    which = np.concatenate([each.which for each in basis.soles], axis=1)
    steps = np.concatenate([each.steps for each in basis.soles], axis=1)
    known = np.concatenate([each.sole.known for each in basis.soles], axis=1)
    middle = 0.5 * (clear[1:] + clear[:-1])
    at, rows = np.argmin(middle, axis=1), np.arange(len(middle))
    usable = known[1:] & known[:-1] & (which[1:] == FLOOR) & (which[:-1] == FLOOR)
    low = (middle[rows, at] < LOW_SHARE * height) & usable[rows, at]
    return np.asarray(low), steps[rows, at, :2] / basis.dt_s


def _along(basis: Basis, velocity: Floats) -> Basis:
    """The same motion over a floor that goes along."""
    ground = basis.ground
    clip = replace(
        basis.clip,
        ground_velocity=ground.velocity + velocity,
        meta=replace(basis.clip.meta, floor_z=ground.floor_z),
    )
    return build_basis(clip, basis.settings, basis.memory)


def _explains(basis: Basis, along: Basis) -> bool:
    """Whether feet stand on a floor that goes along, and stiller than on one that does not."""
    left = _left(along)
    return left < STANDS_SHARE * along.height.scene_m and left < LEAVES * _left(basis)


def _left(basis: Basis) -> float:
    """m/s of the stillest low sole point, the median of all frames on which one is low."""
    height, stillest = basis.height.scene_m, np.inf
    for each in basis.soles:
        low = each.clearance < LOW_SHARE * height
        pace = np.linalg.norm(each.steps, axis=-1) / basis.dt_s
        stillest = np.minimum(stillest, np.where(low[1:] & low[:-1], pace, np.inf).min(axis=1))
    stands = np.isfinite(stillest)
    return float(np.median(np.asarray(stillest)[stands])) if np.any(stands) else 0.0


def _drift(along: Basis, plant: Plant) -> Floats:
    """(3,) m/s of what stands in a plant over the floor that goes along: the mean of its steps."""
    soles = _soles(along, plant.side)
    steps = soles.steps[plant.first : plant.last]
    size = np.linalg.norm(steps, axis=-1)
    clear = soles.clearance[plant.first + 1 : plant.last + 1]
    size = np.where(clear < LOW_SHARE * along.height.scene_m, size, np.inf)
    chosen = steps[np.arange(len(steps)), np.argmin(size, axis=1)]
    return np.asarray(chosen.mean(axis=0)) / along.dt_s


def _soles(basis: Basis, side: str) -> Soles:
    return next(each for each in basis.soles if each.sole.side == side)
