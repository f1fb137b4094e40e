# SPDX-License-Identifier: GPL-3.0-or-later
"""The ground that a cycle in place walks on: how fast it goes, and how it turns.

Feet that are planted go with it: all their low points move as those of one rigid plane.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..parts import SIDES
from .soles import Sole

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A sole this near to the floor may stand on it (3.5 cm at 1.7 m).
LOW_SHARE = 0.035 / 1.7
# A cycle in place: its low soles go one way, faster than this share of the height a second
# (.25 m/s at 1.7 m), most of them within this share of their common speed, and the body stays
# where it is: one that travels by more than this share of that speed stands on a floor that does
# not move, and skates.
PLACE_SPEED_SHARE, ALIKE_SHARE, ALIKE_MOST, TRAVELS_SHARE = 0.15, 0.35, 0.6, 0.3
# A ground that turns slower than this a second (3 degrees) goes straight on; one that turns
# explains half of what a straight one leaves, or more.
TURN_RAD_S, EXPLAINS = np.radians(3.0), 0.5
# What agrees with the motion found, to ever smaller shares of its speed, finds it again, as long as
# so much agrees.
CLOSER, AGREES = (0.35, 0.35, 0.2, 0.1, 0.05, 0.02, 0.01), 0.4


@dataclass(frozen=True, eq=False)
class Motion:
    """velocity (3,) m/s, level, under the figure; turn_rad_s to the left; centre (2,) of a turn."""

    velocity: Floats
    turn_rad_s: float = 0.0
    centre: tuple[float, float] = (0.0, 0.0)


def place_motion(basis: "Basis", soles: tuple[Sole, ...], floor_z: float) -> Motion:
    """The motion of the ground that a cycle in place walks on; none where it is none.

    On each frame the lowest sole point, where it is low, says how fast the ground goes; the
    median of all says it for the clip. It is believed when most of them agree, feet of both
    sides among them, and the body does not travel.
    """
    none = Motion(np.zeros(3))
    if len(soles) < len(SIDES):
        return none
    height = basis.height.scene_m
    points = np.concatenate([sole.points for sole in soles], axis=1)
    sides = np.concatenate([[n] * len(sole.names) for n, sole in enumerate(soles)])
    steps = np.diff(points, axis=0)[..., :2] / basis.dt_s
    middles = 0.5 * (points[1:] + points[:-1])
    lowest = np.argmin(middles[..., 2], axis=1)
    rows = np.flatnonzero(middles[..., 2].min(axis=1) < floor_z + LOW_SHARE * height)
    if len(rows) == 0:
        return none
    told, places = steps[rows, lowest[rows]], middles[rows, lowest[rows], :2]
    common = np.median(told, axis=0)
    speed = float(np.linalg.norm(common))
    turn, centre, here = _turning(told, places, common, _body(basis))
    expected = common if turn == 0.0 else _field(places, turn, centre)
    alike = np.linalg.norm(told - expected, axis=1) < ALIKE_SHARE * speed
    both = len(np.unique(sides[lowest[rows[alike]]])) == len(soles)
    if speed < PLACE_SPEED_SHARE * height or alike.mean() < ALIKE_MOST or not both:
        return none
    if float(np.linalg.norm(_travel(basis))) > TRAVELS_SHARE * speed:
        return none
    if turn != 0.0:
        return Motion(np.array([*here, 0.0]), turn, centre)
    # What agrees says it more exactly than the median of all.
    return Motion(np.array([*np.median(told[alike], axis=0), 0.0]))


def _turning(
    told: Floats, places: Floats, common: Floats, body: Floats
) -> tuple[float, tuple[float, float], Floats]:
    """Turn (radians a second), its centre and the velocity (2,) at the body that fit best the
    velocities (N,2) at places (N,2); 0 where a straight motion fits as well."""
    straight = (0.0, (0.0, 0.0), common)
    speed = float(np.linalg.norm(common))
    turn, here, field = 0.0, common, np.broadcast_to(common, told.shape)
    keeps = np.linalg.norm(told - common, axis=1) < 2.0 * ALIKE_SHARE * speed
    for share in CLOSER:
        if keeps.sum() < 2 * len(SIDES):
            return straight
        turn, here = _fit(told[keeps], places[keeps] - body)
        field = here + turn * _left(places - body)
        closer = np.linalg.norm(told - field, axis=1) < share * speed
        if closer.mean() < AGREES:
            break
        keeps = closer
    if not keeps.any() or abs(turn) < TURN_RAD_S:
        return straight
    left = np.median(np.linalg.norm(told[keeps] - field[keeps], axis=1))
    before = told[keeps] - np.median(told[keeps], axis=0)
    if left > EXPLAINS * np.median(np.linalg.norm(before, axis=1)):
        return straight
    centre = body + _left(here) / turn
    return turn, (float(centre[0]), float(centre[1])), here


def _fit(told: Floats, away: Floats) -> tuple[float, Floats]:
    """Turn and velocity (2,) at the origin of a rigid plane with these velocities there."""
    mean, about = told.mean(axis=0), away - away.mean(axis=0)
    across = _left(about)
    turn = float(np.sum(across * (told - mean)) / max(float(np.sum(across * across)), 1e-12))
    return turn, mean - turn * _left(away.mean(axis=0))


def _field(places: Floats, turn: float, centre: tuple[float, float]) -> Floats:
    """Velocities (N,2) at places (N,2) of a ground that turns."""
    return np.asarray(turn * _left(places - np.array(centre)))


def _left(vectors: Floats) -> Floats:
    """Level vectors (...,2) turned by a quarter to the left."""
    return np.stack((-vectors[..., 1], vectors[..., 0]), axis=-1)


def _body(basis: "Basis") -> Floats:
    """(2,) where the body is on average."""
    return np.asarray(basis.positions[:, basis.lead, :2].mean(axis=0))


def _travel(basis: "Basis") -> Floats:
    """(2,) m/s of the body from the first sample to the last."""
    way = basis.positions[-1, basis.lead, :2] - basis.positions[0, basis.lead, :2]
    return np.asarray(way / (basis.dt_s * max(len(basis.frames) - 1, 1)))
