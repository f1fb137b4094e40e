# SPDX-License-Identifier: GPL-3.0-or-later
"""What planted feet tell of the ground: how each foot drifts and turns over it, plant by plant."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.slips import Slip
from .looped import Places
from .parts import SIDES
from .slid import Slid

Floats = NDArray[np.float64]

# Feet disagree from this share of the height in a plant on (5 cm at 1.7 m; clean cycles whose feet
# are keyed forwards reach 3.8), and by so many times what the plants of one foot differ.
APART_SHARE, STEADY_TIMES = 0.05 / 1.7, 3.0
# They disagree on the turn from this on (35 degrees a second: in clean cycles on ground that moves
# feet turn on their balls by 24).
TURNS_RAD_S = np.radians(35.0)
# A mover turns otherwise than the feet tell from this on (8 degrees a second), where no plant
# differs by this share of it from the others.
MOVER_RAD_S, SPREAD_SHARE = np.radians(8.0), 0.5
# What disagrees explains slips of up to so many times what it gives in a plant.
EXPLAINS = 2.0
# A foot's length as a share of the height (Drillis & Contini 1966, from memory).
FOOT_SHARE = 0.152


@dataclass(frozen=True, eq=False)
class Told:
    """One plant, as the figure sees it.

    drift (2,)   m/s over the ground, ahead and to the left
    turn_rad_s   how the foot turns over the ground, to the left
    seconds      how long the middle of the plant lasts
    """

    slip: Slip
    drift: Floats
    turn_rad_s: float
    seconds: float


def told(places: Places, slips: list[Slip]) -> list[Told]:
    """What each plant tells."""
    return [_told(places, slip) for slip in slips]


def _told(places: Places, slip: Slip) -> Told:
    basis = places.basis
    first, last = slip.middle
    ahead = basis.forward[places.sample((first + last) // 2)]
    way = places.home(slip.drift, first)
    drift = np.array([way @ ahead, way[1] * ahead[0] - way[0] * ahead[1]])
    seconds = (last - first) * basis.dt_s
    rounds = basis if places.looped is None else places.looped.basis
    turn = turned(rounds, slip.plant.body, first, last) / seconds - basis.ground.turn_rad_s
    return Told(slip, drift, turn, len(slip.paces) * basis.dt_s)


def turned(basis: Basis, body: int, first: int, last: int) -> float:
    """By how much a body turns about the vertical from one sample to another, radians, to the
    left: the twist of its turn in the world."""
    a, b = basis.rotations[first, body], basis.rotations[last, body]
    # b times a's conjugate: its real part and the part along the vertical.
    real = float(a @ b)
    along = float(a[0] * b[3] - a[3] * b[0] + a[1] * b[2] - a[2] * b[1])
    angle = 2.0 * np.arctan2(along, real)
    return float((angle + np.pi) % (2.0 * np.pi) - np.pi)


@dataclass(frozen=True, eq=False)
class Disagreement:
    """Two feet that tell two grounds.

    side         of the foot that goes further over the ground, which is to mend
    apart (2,)   m/s, ahead and to the left: how it goes against the other one
    metres       how far that is in one plant, scene metres; limit: from when on it is one
    drifts       side -> (2,) m/s over the ground
    turns        side -> radians a second over the ground, to the left
    by_turn      whether they disagree on the turn, and not on the speed
    """

    side: str
    apart: Floats
    metres: float
    limit: float
    drifts: dict[str, Floats]
    turns: dict[str, float]
    by_turn: bool

    def explains(self, slid: Slid) -> bool:
        """Whether a slip is no further than what the two feet go against each other."""
        return slid.metres <= EXPLAINS * self.metres


def disagreement(places: Places, found: list[Told], factor: float) -> Disagreement | None:
    """Whether the plants of each foot agree with each other, and not with those of the other.

    It is asked where plants come again: in a loop, on ground that moves, or with two plants of
    each foot or more.
    """
    basis = places.basis
    sides = {side: [each for each in found if each.slip.plant.side == side] for side in SIDES}
    fewest = min(len(each) for each in sides.values())
    again = places.looped is not None or basis.ground.moves or fewest > 1
    if fewest == 0 or not again:
        return None
    drifts = {side: np.median([t.drift for t in each], axis=0) for side, each in sides.items()}
    turns = {side: float(np.median([t.turn_rad_s for t in each])) for side, each in sides.items()}
    apart, seconds = drifts["L"] - drifts["R"], float(np.mean([each.seconds for each in found]))
    spread = _median([_length(t.drift - drifts[t.slip.plant.side]) for t in found])
    goes, limit = _length(apart) * seconds, APART_SHARE * basis.height.scene_m * factor
    if goes > limit and _length(apart) > STEADY_TIMES * spread:
        side = max(SIDES, key=lambda each: _length(drifts[each]))
        apart = apart if side == "L" else -apart
        return Disagreement(side, apart, goes, limit, drifts, turns, by_turn=False)
    if not basis.ground.moves:
        return None
    spread = _median([abs(t.turn_rad_s - turns[t.slip.plant.side]) for t in found])
    turn = abs(turns["L"] - turns["R"])
    if turn <= max(TURNS_RAD_S * factor, STEADY_TIMES * spread):
        return None
    side = max(SIDES, key=lambda each: abs(turns[each]))
    arm = FOOT_SHARE * basis.height.scene_m * seconds
    return Disagreement(
        side, apart, turn * arm, TURNS_RAD_S * factor * arm, drifts, turns, by_turn=True
    )


@dataclass(frozen=True, eq=False)
class MoverTurn:
    """A mover that turns otherwise than the planted feet tell; radians a second, to the left.

    mover, feet        how it turns, and how it would have to for the feet to stand
    metres, limit      how far a foot's tip swings in one plant, scene metres; from when it counts
    """

    mover: float
    feet: float
    metres: float
    limit: float

    def explains(self, slid: Slid, basis: Basis) -> bool:
        """Whether a plant's foot slips no further than what lies there is swung."""
        mover, slip, at = basis.body("mover"), slid.slip, slid.places.sample(slid.part.peak)
        if mover is None:
            return False
        gap = basis.positions[at, slip.plant.body] - basis.positions[at, mover]
        seconds = (slip.plant.last - slip.plant.first) * basis.dt_s
        return slid.metres <= EXPLAINS * abs(self.mover - self.feet) * _length(gap[:2]) * seconds


def mover_turn(places: Places, found: list[Told], factor: float) -> MoverTurn | None:
    """Whether all planted feet turn over the floor with a mover that turns too much, or too little.

    A figure may well turn on the balls of its feet; but not in every plant, on both feet, evenly
    and the same way.
    """
    basis = places.basis
    mover = basis.body("mover")
    sides = {side: [t.turn_rad_s for t in found if t.slip.plant.side == side] for side in SIDES}
    fewest = min(len(each) for each in sides.values())
    if mover is None or basis.ground.moves or fewest < (2 if places.looped is None else 1):
        return None
    turns = np.array([turn for each in sides.values() for turn in each])
    common = float(np.median(turns))
    least = MOVER_RAD_S * factor
    if abs(common) <= least or np.abs(turns - common).max() > SPREAD_SHARE * abs(common):
        return None
    seconds = float(np.mean([each.seconds for each in found]))
    goes = _whole_turn(basis, mover) / ((len(basis.frames) - 1) * basis.dt_s)
    arm = FOOT_SHARE * basis.height.scene_m * seconds
    return MoverTurn(goes, goes - common, abs(common) * arm, least * arm)


def _whole_turn(basis: Basis, body: int) -> float:
    """By how much a body turns over the range, radians, to the left; whole turns counted."""
    return sum(turned(basis, body, n, n + 1) for n in range(len(basis.frames) - 1))


def _length(way: Floats) -> float:
    return float(np.linalg.norm(way))


def _median(values: list[float]) -> float:
    return float(np.median(values))
