# SPDX-License-Identifier: GPL-3.0-or-later
"""Slow moments in which the weight lies outside of what bears the figure, and yet it stays up.

A body that is let go out there gains speed outwards, by g / l times its distance from the edge.
One that gains less than half of that is held up by nothing that is known.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .balance_state import Balance, lies, passing_poses
from .basis import Basis
from .basis.contacts import runs
from .basis.mass import mass_known
from .leaning_hands import leaning_hand
from .parts import SIDES, label, split_part

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Shares of the height; at 1.7 m: outside by 5 cm or more, of the centre of mass as it is and as it
# goes on; slow is what goes by less than .3 m/s. It lasts for so long.
OUT_SHARE, SLOW_SHARE, LEAST_S = 0.05 / 1.7, 0.3 / 1.7, 0.25
# A body that gains this share, or more, of the speed that it must gain falls.
FALLS_SHARE = 0.5
# A hand that stays while the body goes 1.5 cm or more leans on something; so long before and after
# as well 4 cm. A box that goes faster than 5 cm/s carries what is on it.
WEIGHT_SHARE, AROUND_SHARE, AROUND_S = 0.015 / 1.7, 0.04 / 1.7, 0.3
CARRIES_SHARE = 0.05 / 1.7
# Further out than this (25 cm) nobody puts a body by mistake: something bears it. What it holds may
# well be too heavy by mistake.
FAR_SHARE = 0.25 / 1.7
# A trunk that rises by less than this share of its length is nearer to level than to upright.
LEVEL = float(np.sin(np.radians(45.0)))
# Hips this near to the height of their knees (of the thigh's length) sit, with the weight so far
# (12 cm) outside for a second: no squat keeps that up.
SITS_SHARE, SITS_OUT_SHARE, SITS_S = 0.4, 0.12 / 1.7, 1.0
# More of the shot than this outside, and for so long, and something bears it that nobody declared.
MOST_OF_SHOT, LONG_S = 0.6, 3.0


@dataclass(frozen=True)
class Unbalanced:
    """Samples `first` to `last`, both included; peak is where it is furthest out.

    out_m     metres outside there, scene; alone_m: of the body without what it holds
    way (2,)  unit vector outwards
    leans     why it may well be borne by something that was not declared, or empty
    """

    first: int
    last: int
    peak: int
    out_m: float
    way: tuple[float, float]
    alone_m: float
    leans: str = ""


def judged(basis: Basis, balance: Balance) -> Bools:
    """(T,) slow samples on which the balance can be asked for: something bears the figure, nothing
    that may pull does, nothing carries it along, it does not lie, and its mass is known. Poses of
    stepped blocking that take off or land are on their way."""
    touch = basis.touch_points
    slow = np.hypot(*balance.speed.T) < SLOW_SHARE * basis.height.scene_m
    stands = balance.bears.any(axis=1) & ~touch.holds.any(axis=1) & ~lies(basis)
    slow &= stands & mass_known(basis) & ~passing_poses(basis)
    return np.asarray(slow & ~_carried(basis) & ~_propped(basis))


def out_of(balance: Balance) -> Floats:
    """(T,) metres by which the weight is outside of what bears it, as it is and as it goes on."""
    return np.minimum(balance.com_gap.gap, balance.gap.gap)


def limit_of(basis: Basis) -> float:
    """How far outside is too far, scene metres."""
    return OUT_SHARE * basis.height.scene_m * basis.settings.factor("balance")


def find_unbalanced(basis: Basis, balance: Balance, asked: Bools) -> tuple[Unbalanced, ...]:
    """All such moments, in time's order; `asked` (T,) as from `judged`."""
    limit, out = limit_of(basis), out_of(balance)
    found = [
        _moment(basis, balance, a, b)
        for a, b in runs(asked & (out >= limit))
        if (b - a + 1) * basis.dt_s >= LEAST_S - 1e-9 and _stays_up(basis, balance, a, b)
    ]
    seconds = sum(each.last - each.first + 1 for each in found) * basis.dt_s
    if seconds > LONG_S and seconds > MOST_OF_SHOT * len(basis.frames) * basis.dt_s:
        return tuple(
            each if each.alone_m < limit else _leaning(each, "for most of the shot")
            for each in found
        )
    return tuple(found)


def _stays_up(basis: Basis, balance: Balance, first: int, last: int) -> bool:
    """Whether the body gains too little speed outwards to be falling."""
    inside = slice(first, last)
    way = balance.com_gap.way[first : last + 1].mean(axis=0)
    way = way / max(float(np.linalg.norm(way)), 1e-9)
    gains = float((balance.speed[last] - balance.speed[first]) @ way)
    must = float(np.sum(balance.rate[inside] ** 2 * balance.com_gap.gap[inside])) * basis.dt_s
    return gains < FALLS_SHARE * must


def _moment(basis: Basis, balance: Balance, first: int, last: int) -> Unbalanced:
    gap = balance.com_gap
    peak = first + int(np.argmax(gap.gap[first : last + 1]))
    way = (float(gap.way[peak, 0]), float(gap.way[peak, 1]))
    alone = float(balance.body_gap.gap[peak])
    found = Unbalanced(first, last, peak, float(gap.gap[peak]), way, alone)
    around = round(AROUND_S / basis.dt_s)
    wider = (max(first - around, 0), min(last + around, len(basis.frames) - 1))
    for (a, b), least in (((first, last), WEIGHT_SHARE), (wider, AROUND_SHARE)):
        if hand := leaning_hand(basis, balance.body, a, b, least * basis.height.scene_m):
            return _leaning(found, f"while the {label(hand)} stays where it is")
    if min(found.out_m, alone) > FAR_SHARE * basis.height.scene_m:
        return _leaning(found, _lying_text(basis, peak) or "too far for a mistake")
    if (last - first) * basis.dt_s >= SITS_S and _sits(basis, found):
        return _leaning(found, "as if it sat on something")
    return found


def _lying_text(basis: Basis, at: int) -> str:
    """`lying with its chest 12 cm above the ground`, of a trunk that is nearer to level than to
    upright; else empty."""
    parts = ("thigh.L", "thigh.R", "upper_arm.L", "upper_arm.R", "chest")
    bodies = [body for part in parts if (body := basis.body(part)) is not None]
    if len(bodies) < len(parts):
        return ""
    places = basis.positions[at, bodies]
    trunk = places[2:4].mean(axis=0) - places[:2].mean(axis=0)
    if abs(float(trunk[2])) > LEVEL * float(np.linalg.norm(trunk)):
        return ""
    above = float(basis.ground.clearance(basis.positions[:, bodies[-1:]])[at, 0])
    return f"lying with its chest {basis.size_text(above)} above the ground"


def _leaning(found: Unbalanced, why: str) -> Unbalanced:
    return replace(found, leans=why)


def _sits(basis: Basis, found: Unbalanced) -> bool:
    """Whether the hips are as low as the knees, and the weight is far out."""
    height = basis.height.scene_m
    if found.out_m < SITS_OUT_SHARE * height:
        return False
    for side in SIDES:
        thigh, shin = basis.body(f"thigh.{side}"), basis.body(f"shin.{side}")
        if thigh is None or shin is None:
            return False
        bone = basis.positions[found.peak, thigh] - basis.positions[found.peak, shin]
        if bone[2] > SITS_SHARE * float(np.linalg.norm(bone)):
            return False
    return True


def _carried(basis: Basis) -> Bools:
    """(T,) whether a box that bears the figure moves."""
    touch, boxes = basis.touch_points, basis.ground.boxes
    found = np.zeros(len(basis.frames), dtype=bool)
    for n, box in enumerate(boxes):
        pace = np.linalg.norm(np.diff(box[:, :3, 3], axis=0), axis=-1) / basis.dt_s
        moves = np.append(pace, 0.0) > CARRIES_SHARE * basis.height.scene_m
        moves |= np.append(0.0, pace) > CARRIES_SHARE * basis.height.scene_m
        found |= moves & (touch.touches & (touch.which == n)).any(axis=1)
    return found


def _propped(basis: Basis) -> Bools:
    """(T,) whether an end of a prop is on what bears the figure: it may be leant on."""
    props = [n for n, b in enumerate(basis.bodies) if split_part(b.part or "")[0] == "prop"]
    if not props:
        return np.zeros(len(basis.frames), dtype=bool)
    ends = basis.marks[:, props, :2].reshape(len(basis.frames), -1, 3)
    near = basis.ground.clearance(ends) < OUT_SHARE * basis.height.scene_m
    return np.asarray(near.any(axis=1))
