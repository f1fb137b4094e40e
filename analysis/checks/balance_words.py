# SPDX-License-Identifier: GPL-3.0-or-later
"""The sentences of `balance`."""

import numpy as np
from numpy.typing import NDArray

from ..balance_state import of_feet
from ..basis import Basis
from ..evidence import Suggestion
from ..unbalanced import Unbalanced
from ..words import direction_text, frame_text

Floats = NDArray[np.float64]

# Hips that move take this share of their way with the centre of mass while feet stay: all above
# them, and a part of the legs (Winter 2009, Table 4.1: .68 + .2 * .78 + .09 * .3, told in round).
WITH_HIPS = 0.85
# A way is ahead of the feet, or behind them, within this angle (60 degrees); else to a side.
ALONG = 0.5
_SIDES = {"L": "left", "R": "right"}


def says(basis: Basis, moment: Unbalanced) -> str:
    """`From frame 31 to 44 the body hangs 11.0 cm in front of its toes without falling.`"""
    first, last = (frame_text(basis.frames[at]) for at in (moment.first, moment.last))
    size = basis.size_text(moment.out_m)
    return f"From frame {first} to {last} the body hangs {size} {_where(basis, moment)}."


def suggestion(basis: Basis, moment: Unbalanced) -> Suggestion:
    """How far the hips must come back, and what else would be right."""
    back = moment.out_m / WITH_HIPS
    offset = -back * np.array([*moment.way, 0.0])
    way = direction_text(offset, basis.forward[moment.peak])
    return Suggestion(
        f"Bring the hips {basis.size_text(back)} {way}, or let the body fall or step there.",
        frame=float(basis.frames[moment.peak]),
        offset=offset,
    )


def _where(basis: Basis, moment: Unbalanced) -> str:
    feet, others = _bearing(basis, moment.peak)
    way = np.array([*moment.way, 0.0])
    if others or not feet:
        told = direction_text(way, basis.forward[moment.peak])
        return f"{_outwards(told)} of what bears it, without falling"
    ahead = _feet_ahead(basis, moment.peak, feet)
    along = float(ahead @ moment.way)
    if abs(along) >= ALONG:
        edge = "in front of its toes" if along > 0.0 else "behind its heels"
        return f"{edge} without falling"
    left = float(way[:2] @ np.array([-ahead[1], ahead[0]])) > 0.0
    which = f"{_SIDES[feet[0]]} foot" if len(feet) == 1 else "feet"
    return f"to the {'left' if left else 'right'} of its {which} without falling"


def _outwards(told: str) -> str:
    words = {"forward": "in front", "back": "behind"}
    return words.get(told, told)


def _bearing(basis: Basis, at: int) -> tuple[list[str], bool]:
    """Sides of the feet that touch at a sample, and whether anything else does."""
    touch = basis.touch_points
    bears, feet = touch.touches[at], of_feet(basis)
    sides = [
        each.sole.side
        for each in basis.soles
        if (bears & touch.sole & (touch.body == each.sole.body)).any()
    ]
    return sides, bool((bears & ~feet).any())


def _feet_ahead(basis: Basis, at: int, sides: list[str]) -> Floats:
    """(2,) unit vector, level: where the feet that touch point, on average."""
    ways = [
        basis.marks[at, s.sole.body, 1] - basis.marks[at, s.sole.body, 0]
        for s in basis.soles
        if s.sole.side in sides
    ]
    level = np.sum([way[:2] / max(float(np.hypot(way[0], way[1])), 1e-9) for way in ways], axis=0)
    return np.asarray(level / max(float(np.hypot(level[0], level[1])), 1e-9))
