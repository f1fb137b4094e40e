# SPDX-License-Identifier: GPL-3.0-or-later
"""What was measured of a point as curves over the checked range, to be read under the keys.

Names are what an animator reads beside a curve, with the unit; lengths and speeds are those at the
character's height, in metres and metres a second throughout, so that they can share one view.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .com_point import COM
from .leave_out import leave_out
from .limbs import Limb, find_limbs
from .parts import split_part
from .spacing_strip import step_speed
from .trails import Spot, known_path, words_of
from .words import capital

if TYPE_CHECKING:
    from .basis import Basis
    from .pipeline import Examination

Floats = NDArray[np.float64]
# A point's path is said to be off its neighbours' where they alone would have put it elsewhere.
OFF, HEIGHT, SPEED = "off its neighbours' path, m", "height, m", "speed, m/s"
RISE = "speed upwards, m/s"
# Parts by which a limb is told.
_LIMB_PARTS = ("thigh", "shin", "foot", "toe", "upper_arm", "forearm", "hand")


@dataclass(frozen=True, eq=False)
class Signal:
    """One curve: its name with the unit, and its values (T,), NaN where nothing is known."""

    name: str
    values: Floats


def signals_of(examination: "Examination", spots: Sequence[Spot]) -> tuple[Signal, ...]:
    """The signals of some points, each name once; titles that are not followed are left out.

    Of each point the speed of the step that leads to each frame, its height above the floor, and
    how far it is off the path of its neighbours (`leave_out`, one sample). Of a leg's or an arm's
    points how much of the limb's length they reach, and how much the knee or elbow bends. Of the
    centre of mass, which is known where the figure is, its height and how fast it rises.
    """
    basis = examination.basis
    titles = {body.title for body in basis.bodies}
    limbs = find_limbs(basis)
    found: dict[str, Signal] = {}
    for spot in spots:
        if spot.title in titles:
            words = words_of(examination, spot)
            told = [*_of_point(basis, spot, words), *_of_limb(basis, spot, limbs)]
            _take(found, told, spot.title)
    if basis.com is not None:
        _take(found, _of_mass(basis), COM)
    return tuple(found.values())


def _take(found: dict[str, Signal], told: Sequence[Signal] | Iterator[Signal], title: str) -> None:
    """Keep signals; where two parts go by the same words, the second by its title."""
    for signal in told:
        same = found.get(signal.name)
        if same is None:
            found[signal.name] = signal
        elif not np.array_equal(same.values, signal.values, equal_nan=True):
            named = f"{title}: {signal.name}"
            found[named] = Signal(named, signal.values)


def _of_point(basis: "Basis", spot: Spot, words: str) -> Iterator[Signal]:
    path, known = known_path(basis, spot)
    yield Signal(f"{words} {SPEED}", step_speed(basis, spot))
    yield Signal(f"{words} {HEIGHT}", _where(known, _above_floor_m(basis, path)))
    off = leave_out(path[:, None])
    size = off.size[:, 0] * basis.height.to_story
    yield Signal(f"{words} {OFF}", _where(known, size))


def _of_limb(basis: "Basis", spot: Spot, limbs: Sequence[Limb]) -> Iterator[Signal]:
    body = next(n for n, each in enumerate(basis.bodies) if each.title == spot.title)
    kind, side = split_part(basis.bodies[body].part or "")
    if kind not in _LIMB_PARTS:
        return
    for limb in limbs:
        if side == limb.side and (kind in ("thigh", "shin", "foot", "toe")) == (
            limb.joint == "knee"
        ):
            reach = 100.0 * limb.reach / limb.rest.sum()
            yield Signal(f"{capital(limb.whole)} reach, % of its length", _where(limb.known, reach))
            bend = _where(limb.known, limb.flexion_deg)
            yield Signal(f"{capital(limb.name)} bend, degrees", bend)


def _of_mass(basis: "Basis") -> Iterator[Signal]:
    path, known = known_path(basis, Spot(COM))
    yield Signal(f"{capital(COM)} {HEIGHT}", _where(known, _above_floor_m(basis, path)))
    rise = np.full(len(path), np.nan)
    rise[1:] = np.diff(path[:, 2]) / basis.dt_s * basis.height.to_story
    rise[1:][~(known[1:] & known[:-1])] = np.nan
    yield Signal(f"{capital(COM)} {RISE}", rise)


def _above_floor_m(basis: "Basis", path: Floats) -> Floats:
    return np.asarray((path[:, 2] - basis.ground.floor_z) * basis.height.to_story)


def _where(known: NDArray[np.bool_], values: Floats) -> Floats:
    return np.where(known, values, np.nan)
