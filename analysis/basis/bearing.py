# SPDX-License-Identifier: GPL-3.0-or-later
"""Which foot bears the body, and how much of it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .contacts import Plant, Soles
from .other_bearers import other_bearers, sits

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]

# What bears it over or under a foot, nearer than this share of the height when seen from above,
# does not tell how much is on the foot (on a ladder).
APART_SHARE = 0.05
# Of a figure that sits or lies the feet bear so much: less than any that stands on another.
SEATED = -1.0


def loads(basis: "Basis", soles: Sequence[Soles], plants: Sequence[Plant]) -> dict[str, Floats]:
    """Side -> (T,) share of the body that the foot bears: 1 where it stands alone.

    SEATED where the figure sits or lies. Where something else stands as well (the other foot,
    a hand, a knee), it is told by where the centre of mass (else the body that leads) lies on the
    way from there to the foot, seen from above; of several such, the one that leaves the foot
    least counts.
    """
    stands = {each.sole.side: np.zeros(len(basis.frames), dtype=bool) for each in soles}
    for plant in plants:
        stands[plant.side][plant.first : plant.last + 1] = True
    body = basis.positions[:, basis.lead] if basis.com is None else basis.com
    places = {each.sole.side: each.sole.points.mean(axis=1) for each in soles}
    others, seated = other_bearers(basis), sits(basis)
    found = {}
    for side, place in places.items():
        share = np.full(len(basis.frames), np.inf)
        feet = [(places[other], stands[other]) for other in places if other != side]
        for n, (there, bears) in enumerate([*feet, *others]):
            gap = (place - there)[:, :2]
            if n >= len(feet):
                bears = bears & (np.linalg.norm(gap, axis=1) > APART_SHARE * basis.height.scene_m)
            along = np.sum((body - there)[:, :2] * gap, axis=1)
            length = np.maximum(np.sum(gap * gap, axis=1), 1e-12)
            share = np.where(bears, np.minimum(along / length, share), share)
        share = np.where(np.isfinite(share), share, 1.0)
        found[side] = np.where(seated, np.minimum(share, SEATED), share)
    return found
