# SPDX-License-Identifier: GPL-3.0-or-later
"""Strides: from the landing of a foot to its next one, told by the plants of both feet."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.contacts import runs
from .free_fall import GRAVITY
from .lap import Lap, mid_stance, turned
from .parts import SIDES
from .sway_trend import GROWN_M

Floats = NDArray[np.float64]

# A stride lasts so long; a foot that stands again sooner than this, with no other foot landing in
# between, has not left.
SHORTEST_S, LONGEST_S, AGAIN_S = 0.3, 2.5, 0.35
# It leads on by this share of the height (25 cm at 1.7 m), else it is a step on the spot.
LEAST_SHARE = 0.25 / 1.7
# It goes level where the foot lands so little higher or lower (5 cm at 1.7 m).
LEVEL_SHARE = 0.05 / 1.7
# What else bears the figure (hands, knees, the seat) for so much of it makes it no gait.
BORNE_SHARE = 0.2
# It goes the way that the figure faces, or back, where their cosine is so large; else sideways.
AHEAD = 0.7
# The other foot lands after this share of the stride at least, and before what is left by it.
HALF_WAY = 0.25
# Hips that come as near to the floor as this share of the legs' length do not walk: they roll.
LOW_SHARE = 0.45
# It is a run where a foot stands for less than half of the stride and nothing bears the figure, or
# one foot alone, all the time; not at a stroll's Froude number. (Duty factor: Alexander 1989,
# Physiol Rev 69:1199-1227, from memory; people change to running at Froude numbers about .5.)
RUN_FLIGHT, RUN_DUTY, STROLL = 0.1, 0.5, 0.25


@dataclass(frozen=True, eq=False)
class Stride:
    """One stride, from sample `first` to `last` of a lap: landings of the same foot.

    side          of that foot; across: the sample on which the other foot lands in between
    seconds       how long it lasts; metres: how far it leads over the ground
    ahead (3,)    unit vector, level: where it leads
    left, right   shares of it for which that foot bears: it stands, or rolls over heel or toe
    double, air   shares of it for which both feet do, and for which nothing bears the figure
    froude        its speed squared over gravity times the legs' length
    turned, climbs, sideways, on_limbs   what it is besides: turning, on stairs, ...
    known         whether the body that leads has no gap in it
    """

    side: str
    first: int
    across: int
    last: int
    seconds: float
    metres: float
    ahead: Floats
    left: float
    right: float
    double: float
    air: float
    froude: float
    turned: bool
    climbs: bool
    sideways: bool
    on_limbs: bool
    known: bool

    @property
    def duty(self) -> float:
        """Share of it for which a foot bears, the mean of both."""
        return 0.5 * (self.left + self.right)

    @property
    def running(self) -> bool:
        """Whether the figure runs, see RUN_FLIGHT; what it is at a stroll is no run."""
        flies = self.air >= RUN_FLIGHT or (self.duty < RUN_DUTY and self.double == 0.0)
        return flies and self.froude > STROLL

    @property
    def speed(self) -> float:
        """Metres (scene) a second over the ground."""
        return self.metres / self.seconds

    @property
    def plain(self) -> bool:
        """Whether it is a stride of a straight and level gait on two feet."""
        return self.known and not (self.turned or self.climbs or self.sideways or self.on_limbs)


def find_strides(basis: Basis, lap: Lap) -> tuple[Stride, ...]:
    """All strides of a lap, in the order in which they begin; of a loop, those of one round.

    Between two landings of a foot the other one lands once, somewhere half-way.
    """
    landings = _landings(basis, lap)
    found = []
    for n, (first, side) in enumerate(landings[:-2]):
        (across, other), (last, same) = landings[n + 1 : n + 3]
        if other == side or same != side or (lap.length and first > lap.length):
            continue
        halves = HALF_WAY <= (across - first) / (last - first) <= 1.0 - HALF_WAY
        if halves and SHORTEST_S <= (last - first) * basis.dt_s <= LONGEST_S:
            stride = _stride(basis, lap, side, (first, across, last))
            if stride.metres >= LEAST_SHARE * basis.height.scene_m:
                found.append(stride)
    return tuple(found)


def _landings(basis: Basis, lap: Lap) -> list[tuple[int, str]]:
    """(sample, side) of every landing, in time's order, both feet; a foot that lands again at
    once has only popped."""
    every = sorted(
        (first, side)
        for side, stands in lap.stands.items()
        for first, _last in runs(stands)
        if first > 0
    )
    kept: list[tuple[int, str]] = []
    for first, side in every:
        if kept and kept[-1][1] == side and (first - kept[-1][0]) * basis.dt_s < AGAIN_S:
            continue
        kept.append((first, side))
    return kept


def _stride(basis: Basis, lap: Lap, side: str, at: tuple[int, int, int]) -> Stride:
    first, across, last = at
    span, count = slice(first, last), last - first
    way = (lap.calm[last] - lap.calm[first]) * [1.0, 1.0, 0.0]
    metres = float(np.linalg.norm(way))
    ahead = way / max(metres, 1e-12)
    left, right = (lap.bears[each][span] for each in SIDES)
    rise = float(np.diff(lap.places[side][mid_stance(lap, side, [first, last]), 2])[0])
    low = lap.lead[first:last, 2].min() - basis.ground.floor_z < LOW_SHARE * lap.leg_m
    return Stride(
        side=side,
        first=first,
        across=across,
        last=last,
        seconds=count * basis.dt_s,
        metres=metres,
        ahead=ahead,
        left=float(left.mean()),
        right=float(right.mean()),
        double=float((left & right).mean()),
        air=float(lap.air[span].mean()),
        froude=_froude(basis, lap.leg_m, metres / (count * basis.dt_s)),
        turned=turned(lap.facing[first], lap.facing[last]),
        climbs=abs(rise) > LEVEL_SHARE * basis.height.scene_m,
        sideways=bool(abs(float(lap.facing[span].mean(axis=0) @ ahead)) < AHEAD),
        on_limbs=bool(lap.borne[span].mean() > BORNE_SHARE or low),
        known=bool(lap.known[first : last + 1].all()),
    )


def to_grown(basis: Basis) -> float:
    """Factor from scene metres to the story's, or to a grown figure's where that is unknown."""
    height = basis.height
    return height.to_story if height.story_m else GROWN_M / height.scene_m


def _froude(basis: Basis, leg_m: float, speed: float) -> float:
    """v2 / (g L): Alexander 1989, Physiol Rev 69:1199-1227, with the legs from hip to ankle."""
    return speed**2 * to_grown(basis) / (GRAVITY * leg_m)
