# SPDX-License-Identifier: GPL-3.0-or-later
"""How far a planted foot slips: as it lands, while it stands, as it pushes off."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .bearing import loads
from .contact_spot import spot_steps
from .contacts import Plant, Soles
from .level import level_points
from .slip_parts import (
    HELD_SHARE,
    LANDING,
    MIDDLE,
    PUSH_OFF,
    RISE,
    Part,
    Scale,
    Slip,
    middle_of,
    slip_of,
)
from .touching import touch

if TYPE_CHECKING:
    from .core import Basis

__all__ = [
    "LANDING",
    "MIDDLE",
    "PUSH_OFF",
    "RISE",
    "Part",
    "Slip",
    "are_held",
    "find_slips",
    "slip_of",
]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A foot bears the body from this share of it on; with less it may be dragged by right. One that is
# held may not, unless the body is beyond the other foot.
BEARS_SHARE, HELD_BEARS_SHARE = 0.45, 0.0
# As it lands and pushes off it bears while the body comes and goes: there from half of it on.
ENDS_BEAR_SHARE = 0.5


def find_slips(basis: "Basis", soles: Sequence[Soles], plants: Sequence[Plant]) -> tuple[Slip, ...]:
    """How the foot of each plant slips while it bears the body, in the order of `plants`."""
    of = {each.sole.side: each for each in soles}
    height = basis.height.scene_m
    spans = [touch(of[plant.side], plant, plants, height, basis.dt_s) for plant in plants]
    level = {each.sole.side: steps for each, steps in zip(soles, basis.level, strict=True)}
    touching = {
        side: level[side][:, None] & level_points(each, height, basis.dt_s)
        for side, each in of.items()
    }
    shifted = {each.sole.side: sure for each, (_, sure) in zip(soles, basis.shifted, strict=True)}
    paths = [
        spot_steps(of[plant.side], first, last, height, touching[plant.side], basis.memory)
        for plant, (first, last) in zip(plants, spans, strict=True)
    ]
    held = _are_held(basis, plants, spans, [steps for steps, _ in paths])
    borne = loads(basis, soles, plants)
    bears = HELD_BEARS_SHARE if held else BEARS_SHARE
    found = []
    for plant, span, (steps, low) in zip(plants, spans, paths, strict=True):
        share, here = borne[plant.side], slice(*span)
        middle = low & (_both(share >= bears, span) | shifted[plant.side][here])
        ends = low & (_both(share >= ENDS_BEAR_SHARE, span) | shifted[plant.side][here])
        found.append(slip_of(basis, plant, span, steps, middle, ends, level[plant.side][here]))
    return tuple(found)


def are_held(basis: "Basis", slips: Sequence[Slip]) -> bool:
    """Whether feet stand still in most of the steps in the middle of these plants."""
    return _dead(basis, np.concatenate([np.zeros(0), *(slip.paces for slip in slips)]))


def _both(state: Bools, span: tuple[int, int]) -> Bools:
    """(S,) whether something holds on both samples of each step of a span."""
    inside = state[span[0] : span[1] + 1]
    return np.asarray(inside[1:] & inside[:-1])


def _are_held(
    basis: "Basis",
    plants: Sequence[Plant],
    spans: Sequence[tuple[int, int]],
    paths: Sequence[Floats],
) -> bool:
    """`are_held` before it is known who bears the body."""
    paces, scale = [np.zeros(0)], Scale(basis.height.scene_m, basis.dt_s)
    for plant, span, steps in zip(plants, spans, paths, strict=True):
        size = np.linalg.norm(steps[:, :2], axis=-1)
        begins, ends = middle_of(scale, plant, span, size)
        paces.append(size[begins:ends] / basis.dt_s)
    return _dead(basis, np.concatenate(paces))


def _dead(basis: "Basis", paces: Floats) -> bool:
    """Whether most of the paces (N,), m/s, are none."""
    least = HELD_SHARE * basis.height.scene_m
    return len(paces) > 0 and float(np.median(paces)) < least
