# SPDX-License-Identifier: GPL-3.0-or-later
"""How far each body pops by itself: who is to blame for what is seen."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .ends import Ends
from .evidence import OwnMotion
from .off_path import Block, Places, look_at
from .pop_limits import comes_back
from .steps_aside import StepAside
from .switch_jumps import SwitchJump

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A body takes the blame only when its motion against its parent pops clearly as well: by so
# many times (the floor + what is left), by frames left out.
OWN_RATIOS = {1: 1.5, 2: 2.1, 3: 2.7}
FLOOR_SHARE = 1e-3


def own_pops(
    basis: Basis, ends: Ends, steps: Sequence[StepAside], switches: Sequence[SwitchJump] = ()
) -> OwnMotion:
    """How far each body's motion against its parent pops, on every frame of the pop."""
    floor = FLOOR_SHARE * basis.height.scene_m
    found = [np.zeros(basis.valid.shape) for _ in range(4)]
    for width in OWN_RATIOS:
        marks = ends.leave_out("own_marks", width)
        limit = OWN_RATIOS[width] * basis.settings.factor("pop")
        clear = marks.size >= limit * (floor + marks.left)
        clear &= _comes_back(ends, width, clear) | _near(steps, len(clear), width)
        _spread(found[0], np.where(clear, marks.size, 0.0).max(axis=-1), width)
        _spread(found[1], marks.size.max(axis=-1), width)
        _spread(found[2], 2.0 * ends.leave_out("own_rotations", width).size, width)
        _spread(found[3], 2.0 * ends.leave_out("rotations", width).size, width)
    for each in switches:
        for sizes in found[:2]:
            span = sizes[each.first : each.last + 1, each.body]
            np.maximum(span, each.size, out=span)
    return OwnMotion(*found)


def _comes_back(ends: Ends, width: int, asked: Bools) -> Bools:
    """(T,B,3) whether the blocks that are asked about leave their own path and come back to it:
    what turns a corner or sets off there is not to blame for what pops beside it."""
    block = Block(width)
    back = np.zeros_like(asked)
    places = Places(*np.nonzero(asked[: ends.length]))
    back[places] = comes_back(look_at(ends.padded("own_marks", block.margin), block, places))
    return back


def _near(steps: Sequence[StepAside], count: int, width: int) -> Bools:
    """(T,1,1) blocks that reach into a step: there nothing comes back."""
    near = np.zeros((count, 1, 1), dtype=bool)
    for step in steps:
        near[max(step.first - width + 1, 0) : step.last + 1] = True
    return near


def _spread(total: Floats, starts: Floats, width: int) -> None:
    """Raise `total` (T,B) to what blocks of `width` samples have, wherever they reach."""
    for covered in range(width):
        stop = len(total) - covered
        total[covered:] = np.maximum(total[covered:], starts[:stop])
