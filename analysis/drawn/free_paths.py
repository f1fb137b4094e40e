# SPDX-License-Identifier: GPL-3.0-or-later
"""Free paths: where gravity alone would carry a body that leaves the ground, or tips over.

A flight begins with the place and the velocity that are measured as the body leaves; from there
on it falls as the checks compare it (`flight_standard`): by gravity at the character's size, or,
where that is unknown, as the shot's other flights do. Level it keeps its velocity. It lands where
it is back at the height at which the body really lands, and the mark is on the ground below.

What is measured at the take-off:
up        of a flight that is one arc, the speed of the fitted arc there. One of uneven spacing,
          or told by poses, is given the speed that reaches its own height: its first frames tell
          how it is eased, and not how hard it is pushed off.
level     the velocity in the air; where `carry` finds that the body goes where its take-off does
          not lead it, that with which the feet let go of it; where something pushes it in the air,
          that of its first half.
Where the ground's own pace says that the flight is only played too long or too short, the path
has that pace, and the same two places: it lands sooner, or later.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..carry_flights import BEYOND_SHARE, EARLY_SHARE, LEAST_EARLY, Carried, find_carried
from ..com_point import COM
from ..flight_cures import is_spaced
from ..flight_standard import GRAVITY_TELLS, Standard, find_standard
from ..flown import Flown, find_flown
from ..flown_poses import held_flown, is_stepped
from ..free_fall import fit_fall
from ..pipeline import Examination
from ..trails import Spot
from .floor import ground_under
from .pivots import pivots

Floats = NDArray[np.float64]

FLIGHT, PIVOT = "flight", "pivot"
# A path ends after so many times as long as the flight takes, wherever it would come down.
MOST_TIMES = 2.0
BY_GRAVITY, BY_OTHERS, BY_ITSELF = "as gravity has it", "as the other flights fall", "one even arc"


@dataclass(frozen=True, eq=False)
class FreePath:
    """The path of the centre of mass that gravity alone would give.

    kind           "flight" or "pivot"
    spot           whose path it stands beside: the centre of mass
    frames (N,)    from the last frame on the ground on; the last one may lie between frames, and
                   beyond the range
    positions (N,3)  scene metres, world
    landing (3,)   on the ground below its end; None where it does not come down so far, and for
                   a pivot
    landing_frame  when that is; of a pivot when a rod leans as far as the body does at its end
    says           a few words for a label
    """

    kind: str
    spot: Spot
    frames: Floats
    positions: Floats
    landing: Floats | None
    landing_frame: float | None
    says: str


def free_paths(examination: Examination) -> tuple[FreePath, ...]:
    """One for each whole flight of a quarter of a second or more, and each topple, in time's order.

    None where the centre of mass is not known, for what is held up or what was declared to move
    the body, and for what does not fall at all. Of a loop: those that its range holds whole.
    """
    basis = examination.basis
    if basis.com is None:
        return ()
    wrong = [each.frames for each in examination.shot.findings if each.check == "gravity"]
    found = [*_flights(basis), *_pivots(basis, wrong)]
    return tuple(sorted(found, key=lambda path: float(path.frames[0])))


def _pivots(basis: Basis, wrong: Sequence[tuple[float, float]]) -> list[FreePath]:
    return [
        FreePath(
            kind=PIVOT,
            spot=Spot(COM),
            frames=each.frames,
            positions=each.positions,
            landing=None,
            landing_frame=float(each.frames[-1]),
            says=each.says,
        )
        for each in pivots(basis, wrong)
    ]


def _flights(basis: Basis) -> list[FreePath]:
    flown = (
        held_flown(basis)
        if is_stepped(basis)
        else find_flown(basis, basis.flights, rough=basis.settings.stage == "blocking")
    )
    whole = [each for each in flown if each.flight.whole and not each.flight.held]
    standard = find_standard(basis, flown) if flown else None
    carried = {each.flown: each for each in find_carried(basis, whole)}
    return [_flight(basis, each, carried.get(each), standard) for each in whole]


@dataclass(frozen=True, eq=False)
class _TakeOff:
    """place (3,) scene metres and velocity (3,) scene m/s at sample `leaves`; fall: scene m/s2."""

    place: Floats
    velocity: Floats
    fall: float

    def at(self, seconds: Floats) -> Floats:
        """(N,3) places so many seconds (N,) later."""
        time = seconds[:, None]
        return self.place + self.velocity * time - 0.5 * self.fall * time**2 * [0.0, 0.0, 1.0]

    def lands_s(self, height: float) -> float | None:
        """Seconds until it comes down to a height; None where it does not rise to it."""
        up = float(self.velocity[2])
        square = up**2 - 2.0 * self.fall * (height - float(self.place[2]))
        return None if square < 0.0 else (up + sqrt(square)) / self.fall


def _flight(
    basis: Basis, flown: Flown, carried: Carried | None, standard: Standard | None
) -> FreePath:
    com = _com(basis)
    leaves = _take_off(basis, flown, carried, standard)
    took = (flown.lands - flown.leaves) * basis.dt_s
    lands_s = leaves.lands_s(float(com[flown.lands, 2]))
    comes = lands_s is not None and 0.0 < lands_s <= MOST_TIMES * took
    last = lands_s if comes and lands_s is not None else took
    whole = np.arange(int(last / basis.dt_s + 1e-6) + 1) * basis.dt_s
    seconds = whole if last - whole[-1] < 1e-6 else np.append(whole, last)
    positions = leaves.at(np.asarray(seconds, dtype=np.float64))
    frames = basis.frames[flown.leaves] + seconds / basis.dt_s * _frame_step(basis)
    landing = None
    if comes:
        landing = np.array([*positions[-1, :2], ground_under(basis, flown.lands)])
    return FreePath(
        kind=FLIGHT,
        spot=Spot(COM),
        frames=np.asarray(frames),
        positions=positions,
        landing=landing,
        landing_frame=float(frames[-1]) if comes else None,
        says=_says(standard),
    )


def _says(standard: Standard | None) -> str:
    if standard is None:
        return BY_ITSELF
    return BY_GRAVITY if standard.told_by == GRAVITY_TELLS else BY_OTHERS


def _take_off(
    basis: Basis, flown: Flown, carried: Carried | None, standard: Standard | None
) -> _TakeOff:
    com, to_story = _com(basis), basis.height.to_story
    fall = (flown.told if standard is None else standard.target) / to_story
    took = (flown.lands - flown.leaves) * basis.dt_s
    start, end = com[flown.leaves], com[flown.lands]
    fit = fit_fall(com[flown.flight.first : flown.flight.last + 1], basis.dt_s)
    if flown.posed or not flown.even or fit is None or is_spaced(basis, flown):
        up = sqrt(2.0 * fall * _rise(com, flown))
        level = (end - start)[:2] / took
        if flown.posed:  # its poses are where they should be, and only their time is open
            level = level * took / max((up + sqrt(2.0 * fall * _drop(com, flown))) / fall, 1e-9)
        return _TakeOff(start, np.array([*level, up]), fall)
    middle = 0.5 * (flown.flight.first + flown.flight.last)
    since = (flown.leaves - middle) * basis.dt_s
    up = float(fit.velocity[2] + fit.acceleration[2] * since)
    share = _retimed(basis, flown, carried, fall, fit.down)
    level = _level(basis, flown, carried, took) if share is None else _air(com, flown, basis.dt_s)
    velocity = np.array([*level, up]) / (share or 1.0)
    return _TakeOff(start, velocity, fall)


def _com(basis: Basis) -> Floats:
    if basis.com is None:
        raise ValueError("the centre of mass is not known: leave the figure out.")
    return basis.com


def _rise(com: Floats, flown: Flown) -> float:
    heights = com[flown.leaves : flown.lands + 1, 2]
    return float(heights.max() - heights[0])


def _drop(com: Floats, flown: Flown) -> float:
    heights = com[flown.leaves : flown.lands + 1, 2]
    return float(heights.max() - heights[-1])


def _retimed(
    basis: Basis, flown: Flown, carried: Carried | None, fall: float, down: float
) -> float | None:
    """The factor on the flight's time, where that alone is wrong: the ground says so."""
    if carried is None:
        return None
    limit = BEYOND_SHARE * basis.height.scene_m * basis.settings.factor("carry")
    wrong = carried.sure_m > limit + carried.unsure_m
    return sqrt(down / fall) if wrong and carried.retimed_m <= limit else None


def _level(basis: Basis, flown: Flown, carried: Carried | None, took: float) -> Floats:
    """(2,) the level velocity, scene m/s, with which it leaves."""
    com = _com(basis)
    air = _air(com, flown, basis.dt_s)
    if carried is None:
        return air
    limit = BEYOND_SHARE * basis.height.scene_m * basis.settings.factor("carry")
    if carried.sure_m <= limit + carried.unsure_m:
        return air
    if carried.breaks:
        return _air(com, flown, basis.dt_s, EARLY_SHARE)
    return air - carried.way * carried.size_m / took


def _air(com: Floats, flown: Flown, dt_s: float, share: float = 1.0) -> Floats:
    """(2,) the mean level velocity in the first share of the flight."""
    path = com[flown.flight.first : flown.flight.last + 1, :2]
    count = min(max(round(share * len(path)), LEAST_EARLY), len(path))
    time = np.arange(count) * dt_s
    return np.asarray(np.polynomial.polynomial.polyfit(time, path[:count], 1)[1])


def _frame_step(basis: Basis) -> float:
    return float(basis.frames[1] - basis.frames[0])
