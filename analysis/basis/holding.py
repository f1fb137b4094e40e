# SPDX-License-Identifier: GPL-3.0-or-later
"""What rests on a declared support, on whichever of its faces: hands and feet on a wall's side, a
ladder's rung, a ledge's edge, another character; seat, trunk, knees and elbows that lean."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..parts import split_part
from .boxes import carried_by, within
from .contacts import STILL_SHARE, without_short
from .ground import UNDER_SHARE

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A joint or tip this near to a face, as a share of the height, rests on it (6 cm at 1.7 m), where
# it is slow over it (.4 m/s) for so long: a body in a free flight is so for .08 s, at its top. A
# point deeper inside than 10 cm does not.
NEAR_SHARE, HOLDS_S = 0.06 / 1.7, 0.17
_ENDS = ("hand", "foot", "toe")
# Joints that lie deep in the body lean on a face from further off (13 cm at 1.7 m).
DEEP_SHARE, LEANS_S = 0.13 / 1.7, 0.2
_DEEP = ("spine", "chest", "thigh", "shin", "forearm")


def held(basis: "Basis") -> Bools:
    """(T,B,2) whether the joint or the tip of a hand, foot or toe rests on a box's face."""
    found = np.zeros((*basis.valid.shape, 2), dtype=bool)
    ends = [n for n, b in enumerate(basis.bodies) if split_part(b.part or "")[0] in _ENDS]
    if not ends or len(basis.frames) < 2:
        return found
    points = basis.marks[:, ends, :2].reshape(len(basis.frames), -1, 3)
    rests = np.zeros(points.shape[:2], dtype=bool)
    for box in basis.ground.boxes:
        rests |= rests_on(basis, box, points, NEAR_SHARE)
    least = max(round(HOLDS_S / basis.dt_s), 2)
    lasting = np.stack([without_short(column, True, least - 1) for column in rests.T], axis=-1)
    found[:, ends] = lasting.reshape(len(basis.frames), len(ends), 2)
    return np.asarray(found & basis.valid[..., None])


def leaning(basis: "Basis") -> Bools:
    """(T,B) which joints of seat, trunk, knees and elbows rest on a box's face, its side too."""
    deep = [n for n, b in enumerate(basis.bodies) if split_part(b.part or "")[0] in _DEEP]
    found = np.zeros(basis.valid.shape, dtype=bool)
    if not deep or len(basis.frames) < 2 or not len(basis.ground.boxes):
        return found
    points, known = basis.positions[:, deep], basis.valid[:, deep]
    least = max(round(LEANS_S / basis.dt_s), 2)
    for box in basis.ground.boxes:
        rests = rests_on(basis, box, points, DEEP_SHARE) & known
        lasting = [without_short(column, True, least - 1) for column in rests.T]
        found[:, deep] |= np.stack(lasting, axis=-1)
    return found


def rests_on(basis: "Basis", box: Floats, points: Floats, near: float) -> Bools:
    """(T,N) whether points (T,N,3) are near a face of a box, and slow over it.

    near   share of the height
    """
    height = basis.height.scene_m
    gap = within(box, points).gap
    close = (gap < near * height) & (gap > -UNDER_SHARE * height)
    if not close.any():
        return np.asarray(close)
    pace = np.linalg.norm(points[1:] - carried_by(box, points[:-1]), axis=-1) / basis.dt_s
    ends = np.full((1, pace.shape[1]), np.inf)
    slower = np.minimum(np.concatenate((ends, pace)), np.concatenate((pace, ends)))
    return np.asarray(close & (slower < STILL_SHARE * height))
