# SPDX-License-Identifier: GPL-3.0-or-later
"""A range as strides are told on it: over the ground, and a loop laid out round after round.

A loop's strides go over its seam: the range is laid out three times, one round after the other,
and those that begin in the first round count.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.core import SPEED_WINDOW_S
from .basis.other_bearers import other_bearers, sits
from .loop import Cycle
from .once import once
from .parts import SIDES
from .smoothing import smooth
from .stance import Tread, bears

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

# It goes straight where the figure faces another way by so little from its beginning to its end.
TURN_RAD = np.radians(25.0)
ROUNDS = 3


@dataclass(frozen=True, eq=False)
class Lap:
    """The range, or a loop laid out three times; E samples over the ground, metres.

    length        samples of one round; 0 where the range is no loop
    lead (E,3)    the body that leads; calm (E,3) the same without a capture's tremble
    com (E,3)     the centre of mass, or None
    facing (E,3)  unit vectors, level
    stands        side -> (E,) whether that foot stands
    bears         side -> (E,) whether it stands, or rolls over heel or toe
    places        side -> (E,3) the middle of its sole
    leg_m         length of the legs from hip to ankle, scene metres
    air, borne (E,)   whether nothing bears the figure; whether hands, knees or the seat do
    known (E,)    whether the body that leads has no gap
    """

    length: int
    lead: Floats
    calm: Floats
    com: Floats | None
    facing: Floats
    stands: dict[str, Bools]
    bears: dict[str, Bools]
    places: dict[str, Floats]
    leg_m: float
    air: Bools
    borne: Bools
    known: Bools


@once
def find_lap(basis: Basis, cycle: Cycle) -> Lap | None:
    """The range as strides are told on it; None where a foot is not known."""
    soles = {each.sole.side: each for each in basis.soles}
    if len(soles) < len(SIDES):
        return None
    count = len(basis.frames)
    stands = {side: np.zeros(count, dtype=bool) for side in SIDES}
    for plant in basis.plants:
        stands[plant.side][plant.first : plant.last + 1] = True
    air = np.zeros(count, dtype=bool)
    for flight in basis.flights:
        air[flight.first : flight.last + 1] = not flight.held
    borne = np.any([sits(basis), *(each for _place, each in other_bearers(basis))], axis=0)
    shift, lead = basis.ground.shift, basis.positions[:, basis.lead]
    lap = Lap(
        length=0,
        lead=lead - shift,
        calm=smooth(lead, basis.dt_s, window_s=SPEED_WINDOW_S) - shift,
        com=None if basis.com is None else basis.com - shift,
        facing=basis.forward,
        stands=stands,
        bears={},
        places={side: each.sole.points.mean(axis=1) - shift for side, each in soles.items()},
        leg_m=_leg_m(basis),
        air=air,
        borne=borne,
        known=basis.valid[:, basis.lead],
    )
    treads = {side: Tread.of(each, basis.height.scene_m) for side, each in soles.items()}
    length = count - cycle.repeats
    if cycle.plays and length >= 4 and not turned(lap.facing[0], lap.facing[length - 1]):
        lap = _laid_out(lap, length)
        treads = {
            side: tread.again(
                _closing(lap, soles[side].sole.points - shift[:, None]), length, ROUNDS
            )
            for side, tread in treads.items()
        }
    found = {
        side: bears(lap.stands[side], treads[side], lap.lead, basis.dt_s, basis.height.scene_m)
        for side in SIDES
    }
    return replace(lap, bears=found)


def _leg_m(basis: Basis) -> float:
    """Length of the legs from hip to ankle, scene metres; half of the height where unknown."""
    lengths = []
    for side in SIDES:
        leg = [basis.body(f"{kind}.{side}") for kind in ("thigh", "shin", "foot")]
        joints = [joint for joint in leg if joint is not None]
        if len(joints) == len(leg):
            bones = np.diff(basis.positions[:, joints], axis=1)
            lengths.append(float(np.median(np.linalg.norm(bones, axis=-1).sum(axis=1))))
    return float(np.mean(lengths)) if lengths else 0.5 * basis.height.scene_m


def mid_stance(lap: Lap, side: str, landings: list[int]) -> Ints:
    """The samples half-way through the plants that begin with these landings."""
    stands = np.append(lap.stands[side], False)
    ends = [landing + int(np.argmin(stands[landing:])) for landing in landings]
    return np.array([(a + b) // 2 for a, b in zip(landings, ends, strict=True)])


def turned(before: Floats, after: Floats) -> bool:
    """Whether a figure faces another way by more than 25 degrees."""
    return bool(float(before @ after) < np.cos(TURN_RAD))


def _laid_out(lap: Lap, length: int) -> Lap:
    """A loop's rounds one after the other, each going on where the one before would have."""
    step = _next(lap.lead, length) - lap.lead[0]
    step[2] = 0.0

    def on(path: Floats) -> Floats:
        return np.concatenate([path[:length] + n * step for n in range(ROUNDS)])

    return Lap(
        length=length,
        lead=on(lap.lead),
        calm=on(lap.calm),
        com=None if lap.com is None else on(lap.com),
        facing=np.tile(lap.facing[:length], (ROUNDS, 1)),
        stands={side: np.tile(each[:length], ROUNDS) for side, each in lap.stands.items()},
        bears={},
        places={side: on(each) for side, each in lap.places.items()},
        leg_m=lap.leg_m,
        air=np.tile(lap.air[:length], ROUNDS),
        borne=np.tile(lap.borne[:length], ROUNDS),
        known=np.tile(lap.known[:length], ROUNDS),
    )


def _closing(lap: Lap, points: Floats) -> Floats:
    """(N,3) the way of points (T,N,3) from a loop's last sample to its first one a round later.

    Where the range goes on it is known; else it is told by the round that the body goes.
    """
    return np.asarray(points[0] + lap.lead[lap.length] - lap.lead[0] - points[lap.length - 1])


def _next(path: Floats, length: int) -> Floats:
    """(3,) the sample after a round: known where the range goes on, else a usual step further."""
    if length < len(path):
        return np.array(path[length])
    return np.array(path[-1] + 0.5 * (path[-1] - path[-2] + path[1] - path[0]))
