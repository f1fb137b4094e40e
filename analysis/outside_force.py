# SPDX-License-Identifier: GPL-3.0-or-later
"""What moves the body that its contacts cannot supply, in body weights, frame by frame.

The force that the ground must give is m (a - g), with a the acceleration of the centre of mass. A
contact can only press: it cannot pull down, nor push sideways by more than the friction lets it
(mu times what presses), and the place where it presses (the centre of pressure: from the force's
line through the centre of mass, and the moment that turns the limbs about it) lies within the hull
of what touches. Whatever is left needs another hand, but for what only a pin would give a foot over
which a stiff body topples (`pinned_foot.py`).

Centre of pressure: Vukobratovic & Borovac 2004, Int J Humanoid Robotics 1:157-173 (from memory).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.contacts import runs
from .basis.mass import mass_known
from .basis.plane_hulls import HullGap, hull_gap, pooled
from .free_fall import GRAVITY
from .parts import ARM, split_part
from .pinned_foot import pin_force, without_pin
from .turning_moment import turning_moment

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Rubber on dry ground; what slips under less than this is no foot that pushes (common practice).
FRICTION = 0.9
# The hull of what touches is wider than joints and tips tell, by this share of the height (3 cm).
SLACK_SHARE = 0.03 / 1.7
# Smoothing smears what the ground gives over half its window: contacts within this count, and so
# long beside a flight, a gap or an end of the range nothing is told.
NEAR_S = 0.1
# What changes within so long before and after is sudden; so long a hold-up is the body's own.
SUDDEN_S = 0.125
# Under this share of the height (30 cm) the centre of mass is no lever that tells anything.
LOWEST_SHARE = 0.3 / 1.7
# A body that sinks faster than this share of its height a second (10 cm at 1.7 m) goes down.
SINKS_SHARE = 0.1 / 1.7
# Less pressure than this, in body weights, has no place; less of a sudden change is not asked of.
LEAST_PRESSURE, LEAST_SUDDEN = 0.1, 0.03


@dataclass(frozen=True, eq=False)
class OutsideForce:
    """felt (T,3)     body weights: a/g and the weight itself, upwards
    sudden (T,3)      how it stands out from what it is an eighth of a second before and after
    left (T,3)        the part of it that no contact can supply
    judged (T,)       where that can be told: not in flights, gaps, at the ends, nor where
                      something may pull or hands alone bear
    lever (T,)        metres (story) from what bears it up to the centre of mass
    pinned (T,)       where a foot gives more than it can without slipping (`pinned_foot`)
    """

    felt: Floats
    sudden: Floats
    left: Floats
    judged: Bools
    lever: Floats
    pinned: Bools

    @property
    def size(self) -> Floats:
        """(T,) how much is left, body weights; 0 where that is not judged."""
        return np.where(self.judged, np.linalg.norm(self.left, axis=1), 0.0)


def outside_force(basis: Basis) -> OutsideForce | None:
    """The forces of a figure; None where centre of mass or scale are not known."""
    acceleration = basis.com_acceleration
    if acceleration is None or basis.com is None or basis.height.story_m is None:
        return None
    to_story = basis.height.to_story
    felt = acceleration * to_story / GRAVITY + [0.0, 0.0, 1.0]
    touch = basis.touch_points
    reach = max(round(NEAR_S / basis.dt_s), 1)
    places, bear = pooled(touch.place * to_story, touch.touches, reach)
    sudden = felt - _around(felt, basis)
    centre = basis.com * to_story
    lever = np.maximum(centre[:, 2] - _mean_height(places, bear), LOWEST_SHARE * _height(basis))
    left = _not_supplied(basis, felt, sudden, centre, lever, places, bear)
    free = without_pin(left, pin_force(basis, reach, FRICTION))
    judged = _judged(basis, bear, reach)
    pinned = judged & (np.linalg.norm(left - free, axis=1) > LEAST_PRESSURE)
    return OutsideForce(felt, sudden, free, judged, lever, pinned)


def _height(basis: Basis) -> float:
    return basis.height.scene_m * basis.height.to_story


def _mean_height(places: Floats, bear: Bools) -> Floats:
    """(T,) the mean height of what bears; 0 where nothing does."""
    total = np.where(bear, places[..., 2], 0.0).sum(axis=1)
    return np.asarray(total / np.maximum(bear.sum(axis=1), 1))


def _around(values: Floats, basis: Basis) -> Floats:
    """The mean of values (T,...) an eighth of a second before and after; near an end, where the
    smoothing has no whole window, of the other side alone."""
    before, after = beside(len(values), basis.dt_s)
    return np.asarray(0.5 * (values[before] + values[after]))


def beside(count: int, dt_s: float) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """(T,) which samples lie an eighth of a second before and after each; where one of them is
    at an end of the range, the other one for both."""
    away, edge = max(round(SUDDEN_S / dt_s), 2), max(round(NEAR_S / dt_s), 2)
    at = np.arange(count)
    before, after = at - away, at + away
    no_before, no_after = before < edge, after > count - 1 - edge
    before = np.where(no_before & ~no_after, after, before)
    after = np.where(no_after & ~no_before, at - away, after)
    return np.clip(before, 0, count - 1), np.clip(after, 0, count - 1)


def _not_supplied(
    basis: Basis,
    felt: Floats,
    sudden: Floats,
    centre: Floats,
    lever: Floats,
    places: Floats,
    bear: Bools,
) -> Floats:
    """(T,3) what is left of the force: what pulls down, what friction does not hold, and what
    brings the centre of pressure back, as far as it is sudden (a body that leans without moving
    hangs on something, and nobody pushes it)."""
    level, pressure = felt[:, :2], np.maximum(felt[:, 2], 0.0)
    size = np.linalg.norm(level, axis=1)
    slips = np.maximum(size - FRICTION * pressure, 0.0)
    slipping = level * (slips / np.maximum(size, 1e-9))[:, None]
    moment = turning_moment(basis)
    weight = np.maximum(pressure, LEAST_PRESSURE)[:, None]
    turned = np.stack((-moment[:, 1], moment[:, 0]), axis=-1) / weight
    presses = centre[:, :2] - lever[:, None] * (level - slipping) / weight + turned
    left = np.zeros_like(felt)
    left[:, :2] = slipping
    asked = np.linalg.norm(sudden[:, :2], axis=1) > LEAST_SUDDEN
    if asked.any():
        gap = hull_gap(places[..., :2], bear, presses, basis.memory, "pressure", asked)
        per_m = (pressure / lever)[asked]
        left[asked, :2] += _brought_back(basis, gap, bear[asked], per_m, sudden[asked])
    left[:, 2] = np.where(bear.any(axis=1), np.minimum(felt[:, 2], 0.0), 0.0)
    return left


def _brought_back(basis: Basis, gap: HullGap, bear: Bools, per_m: Floats, sudden: Floats) -> Floats:
    """(T,2) the level force that the centre of pressure's way out of the hull stands for."""
    slack = SLACK_SHARE * _height(basis)
    outside = np.maximum(np.where(bear.any(axis=1), gap.gap, 0.0) - slack, 0.0)
    most = np.maximum(-np.sum(sudden[:, :2] * gap.way, axis=1), 0.0)
    return np.asarray(-np.minimum(outside * per_m, most)[:, None] * gap.way)


def _judged(basis: Basis, bear: Bools, reach: int) -> Bools:
    """(T,) where contacts can be asked.

    A body that is down on its way as its feet leave the ground (it falls over them) is asked in the
    air too, until it lands: there all that moves it sideways is left.
    """
    count = len(bear)
    unsure = ~mass_known(basis) | basis.touch_points.holds.any(axis=1) | on_hands(basis)
    air = np.asarray(~basis.touch_points.touches.any(axis=1))
    for first, last in runs(air):
        if first == 0 or last == count - 1 or not _sinks(basis, first):
            unsure[first : last + 1] = True
        else:
            unsure[last + 1] = True
    near = unsure.copy()
    for step in range(1, reach + 1):
        near[step:] |= unsure[:-step]
        near[:-step] |= unsure[step:]
    edge = max(reach, 2)
    near[:edge] = True
    near[max(count - edge, 0) :] = True
    return np.asarray(~near & (bear.any(axis=1) | air))


def on_hands(basis: Basis) -> Bools:
    """(T,) whether hands and arms alone touch what bears the figure: how they hold is not known."""
    touch = basis.touch_points
    of_arms = [split_part(basis.bodies[n].part or "")[0] in ARM for n in touch.body]
    arms = np.array(of_arms, dtype=bool) & ~touch.sole
    return np.asarray(touch.touches[:, arms].any(axis=1) & ~touch.touches[:, ~arms].any(axis=1))


def _sinks(basis: Basis, at: int) -> bool:
    """Whether the centre of mass goes down at a sample, by 6 % of the height a second or more."""
    if basis.com_velocity is None:
        return False
    return float(basis.com_velocity[at, 2]) < -SINKS_SHARE * basis.height.scene_m
