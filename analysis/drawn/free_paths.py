# SPDX-License-Identifier: GPL-3.0-or-later
"""Free paths: where gravity alone would carry a body that leaves the ground, or tips over.

A flight begins with the place and the velocity that are measured as the body leaves; from there
on it falls as the checks compare it (`flight_standard`): by gravity at the character's size, or,
where that is unknown, as the shot's other flights do. Level it keeps its velocity. It lands where
it is back at the height at which the body really lands, and the mark is on the ground below.

Where a finding of `gravity` is about the flight, the path is what its sentence tells first: from
place to place in its own frames, as high as it has to rise then; or as high as it is, in the time
that this takes, to where it must land then.

Elsewhere, what is measured at the take-off:
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

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.ball import BallBasis
from ..carry_flights import find_carried
from ..checks.gravity_advice import Cure, first_cure
from ..com_point import COM
from ..flight_standard import GRAVITY_TELLS, Standard, find_standard
from ..flown import Flown, find_flown
from ..flown_poses import held_flown, is_stepped
from ..flown_shot import flights_of, flown_of
from ..looped import Places, lay_out
from ..pipeline import Examination
from ..trails import Spot
from ..words import frame_text
from .floor import ground_under
from .pivots import pivots
from .take_off import TakeOff, com_of, cured, take_off

Floats = NDArray[np.float64]

FLIGHT, PIVOT = "flight", "pivot"
# As it was measured to leave, it ends after so many times as long as the flight takes, wherever it
# would come down.
MOST_TIMES = 2.0
BY_GRAVITY, BY_OTHERS, BY_ITSELF = "as gravity has it", "as the other flights fall", "one even arc"


@dataclass(frozen=True, eq=False)
class FreePath:
    """The path of the centre of mass that gravity alone would give; of a ball, its own beside that.

    kind           "flight" or "pivot"
    spot           whose path it stands beside: the centre of mass, or the ball
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
    found = [*_flights(examination, wrong), *_pivots(basis, wrong)]
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


def _flights(examination: Examination, wrong: Sequence[tuple[float, float]]) -> list[FreePath]:
    basis = examination.basis
    flown = (
        held_flown(basis)
        if is_stepped(basis)
        else find_flown(basis, basis.flights, rough=basis.settings.stage == "blocking")
    )
    whole = [each for each in flown if each.flight.whole and not each.flight.held]
    standard = find_standard(basis, flown) if flown else None
    carried = {each.flown: each for each in find_carried(basis, whole)}
    cures = _cures(examination, [each for each in whole if _is_told(basis, each, wrong)])
    found = []
    for each in whole:
        if each in cures:
            cure, by = cures[each]
            leaves = cured(basis, each, cure, by)
            says = _says(by) + _done(basis, each, cure)
            found.append(_flight(basis, each, leaves, says, is_cure=True))
        else:
            leaves = take_off(basis, each, carried.get(each), standard)
            found.append(_flight(basis, each, leaves, _says(standard)))
    return found


def _is_told(basis: Basis, flown: Flown, wrong: Sequence[tuple[float, float]]) -> bool:
    """Whether a finding is about the middle of a flight."""
    middle = float(basis.frames[(flown.flight.first + flown.flight.last) // 2])
    return any(first <= middle <= last for first, last in wrong)


def _cures(examination: Examination, told: Sequence[Flown]) -> dict[Flown, tuple[Cure, Standard]]:
    """What the sentences about flights tell first, and after what: found as `gravity` finds it."""
    if not told:
        return {}
    basis = examination.basis
    places = Places(basis, lay_out(basis, examination.cycle))
    flown = flown_of(places, flights_of(places))
    standard = find_standard(basis, flown) if flown else None
    if standard is None:
        return {}
    found = {}
    for each in told:
        ends = (each.flight.first, each.flight.last)
        for other in flown:
            if tuple(map(places.sample, (other.flight.first, other.flight.last))) == ends:
                found[each] = first_cure(places, other, standard), standard
    return found


def _flight(
    basis: Basis, flown: Flown, leaves: TakeOff, says: str, *, is_cure: bool = False
) -> FreePath:
    took = (flown.lands - flown.leaves) * basis.dt_s
    lands_s = leaves.lands_s(float(com_of(basis)[flown.lands, 2]))
    most = np.inf if is_cure else MOST_TIMES * took
    comes = lands_s is not None and 0.0 < lands_s <= most
    last = lands_s if comes and lands_s is not None else took
    whole = np.arange(int(last / basis.dt_s + 1e-6) + 1) * basis.dt_s
    seconds = whole if last - whole[-1] < 1e-6 else np.append(whole, last)
    positions = leaves.at(np.asarray(seconds, dtype=np.float64))
    frames = basis.frames[flown.leaves] + seconds / basis.dt_s * _frame_step(basis)
    if isinstance(basis, BallBasis):
        positions = basis.beside(frames, positions)
    landing = None
    if comes:
        landing = np.array([*positions[-1, :2], ground_under(basis, flown.lands)])
    return FreePath(
        kind=FLIGHT,
        spot=Spot(basis.bodies[basis.lead].title if basis.clip.is_ball else COM),
        frames=np.asarray(frames),
        positions=positions,
        landing=landing,
        landing_frame=float(frames[-1]) if comes else None,
        says=says,
    )


def _done(basis: Basis, flown: Flown, cure: Cure) -> str:
    """What of a flight stays on its path, as the sentence tells the numbers of the rest. A count of
    frames would be another one than that of those in the air, which leave out both ends."""
    if not cure.rises:
        return ", at its height"
    leaves, lands = (frame_text(basis.frames[at]) for at in (flown.leaves, flown.lands))
    return f", from {leaves} to {lands}"


def _says(standard: Standard | None) -> str:
    if standard is None:
        return BY_ITSELF
    return BY_GRAVITY if standard.told_by == GRAVITY_TELLS else BY_OTHERS


def _frame_step(basis: Basis) -> float:
    return float(basis.frames[1] - basis.frames[0])
