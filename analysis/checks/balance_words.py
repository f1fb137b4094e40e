# SPDX-License-Identifier: GPL-3.0-or-later
"""The sentences of `balance`."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..balance_state import of_feet
from ..basis import Basis
from ..basis.contacts import runs
from ..basis.loads import Load, body_mass_kg, counted_loads
from ..evidence import Suggestion
from ..unbalanced import FAR_SHARE, LEAST_S, Unbalanced
from ..words import direction_text, frame_text, frames_text

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Hips that move take this share of their way with the centre of mass while feet stay: all above
# them, and a part of the legs (Winter 2009, Table 4.1: .68 + .2 * .78 + .09 * .3, told in round).
WITH_HIPS = 0.85
# A way is ahead of the feet, or behind them, within this angle (60 degrees); else to a side.
ALONG = 0.5
# What is held is named where it shifts the weight by so much (2 cm at 1.7 m).
LOAD_SHARE = 0.02 / 1.7
_SIDES = {"L": "left", "R": "right"}


def says(basis: Basis, moment: Unbalanced) -> str:
    """`From frame 31 to 44 the body hangs 11.0 cm in front of its toes without falling.`"""
    first, last = (frame_text(basis.frames[at]) for at in (moment.first, moment.last))
    size = basis.size_text(moment.out_m)
    loads = _loads(basis, moment)
    what = f"weight of the body with {_named(loads)} is" if loads else "body hangs"
    return f"From frame {first} to {last} the {what} {size} {_where(basis, moment)}."


def suggestion(basis: Basis, moment: Unbalanced) -> Suggestion:
    """How far the hips must come back, and what else would be right."""
    back = moment.out_m / _share_with_hips(basis, moment)
    offset = -back * np.array([*moment.way, 0.0])
    way, size = direction_text(offset, basis.forward[moment.peak]), basis.size_text(moment.out_m)
    nearer, frame = _nearer(basis, moment), float(basis.frames[moment.peak])
    if nearer and back > FAR_SHARE * basis.height.scene_m:
        return Suggestion(f"{nearer}, give it less mass, or let the body fall there.", frame=frame)
    return Suggestion(
        f"{nearer + ', or bring' if nearer else 'Bring'} the hips {basis.size_text(back)} {way} or "
        f"more (that takes the weight {size}, to the edge of what bears it: the legs follow only "
        "in part), or let the body fall or step there.",
        frame=frame,
        offset=offset,
    )


def _nearer(basis: Basis, moment: Unbalanced) -> str:
    """`Hold the boathook nearer`, where it shifts the weight; else empty."""
    loads = _loads(basis, moment)
    return f"Hold {' and '.join(f'the {each.prop.name}' for each in loads)} nearer" if loads else ""


def beyond_text(basis: Basis, out: Floats, beyond: Bools) -> str:
    """Where slow motion is out of balance and yet no finding: `on frames 34 to 38 it is up to 20 cm
    outside of what bears it, where the body falls`; of more such moments the furthest. Empty
    without one.

    out     (T,) metres outside; beyond (T,) where that is too far, and no finding
    """
    spans = runs(beyond)
    if not spans:
        return ""
    first, last = max(spans, key=lambda span: float(out[span[0] : span[1] + 1].max()))
    size = basis.size_text(float(out[first : last + 1].max()))
    falls = (last - first + 1) * basis.dt_s >= LEAST_S - 1e-9
    why = "where the body falls" if falls else "too briefly to judge"
    frames = frames_text(basis.frames[first], basis.frames[last])
    return f"on {frames} it is up to {size} outside of what bears it, {why}"


def loads_text(basis: Basis, moment: Unbalanced) -> str:
    """` with the boathook (20 kg)`, where what is held shifts the weight; else empty."""
    loads = _loads(basis, moment)
    return f" with {_named(loads)}" if loads else ""


def _loads(basis: Basis, moment: Unbalanced) -> list[Load]:
    """What is held at a moment, where it shifts the weight outwards so far that it shows."""
    if moment.out_m - moment.alone_m < LOAD_SHARE * basis.height.scene_m:
        return []
    return [load for load in counted_loads(basis) if load.held[moment.peak]]


def _named(loads: Sequence[Load]) -> str:
    return " and ".join(f"the {load.prop.name} ({load.mass_kg:g} kg)" for load in loads)


def _share_with_hips(basis: Basis, moment: Unbalanced) -> float:
    """How much of its way the weight goes with hips that move: what is held goes all of it."""
    if basis.height.story_m is None:
        return WITH_HIPS
    held = sum(load.mass_kg for load in counted_loads(basis) if load.held[moment.peak])
    body = body_mass_kg(basis.height.story_m)
    return (WITH_HIPS * body + held) / (body + held)


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
