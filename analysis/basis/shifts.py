# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a foot that stands is shifted fast: along the floor, from one stand to the next.

A foot that steps lifts between two stands, and one that rolls stands on some point meanwhile.
One that is shifted keeps its height, and all of its sole goes along.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .ground import LOW_SHARE

if TYPE_CHECKING:
    from .contacts import Soles
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A shift lasts so long at most; at 1.7 m it goes from 2.5 to 10 cm, each low point of the sole at
# least that far, while one of them rises and sinks by no more than 3.5 mm.
LONGEST_S, NEAR_SHARE, FAR_SHARE = 0.34, 0.025 / 1.7, 0.1 / 1.7
KEEPS_SHARE = 0.0035 / 1.7
# It stands for so long before and after, slower than this share of the shift's speed. What goes
# more than this share of its way in one step jumps.
STANDS_S, STANDS, JUMP_SHARE = 0.06, 0.3, 0.75
# Feet that are dragged while they bear little (boxers') keep their height to 2.6 mm and more, and
# go at .2 of that speed and more.
SURE_KEEPS_SHARE, SURE_STANDS = 0.0025 / 1.7, 0.2


@dataclass(frozen=True, eq=False)
class _Windows:
    """Windows of so many steps over a foot's way, one at each of `first` (N,).

    rest    (N,) how fast the foot is before and after, the faster of both, in shares of the shift
    keeps   (N,) how much the point rises and sinks that keeps its height best, of those that stay
            low; inf where none does, m
    """

    steps: int
    first: NDArray[np.intp]
    rest: Floats
    keeps: Floats


def shifted_steps(basis: "Basis", soles: "Soles") -> tuple[Bools, Bools]:
    """(T-1,) steps over which a foot that stands is shifted; and those of them on which that is
    plain even of a foot that bears little."""
    height, count = basis.height.scene_m, len(basis.frames)
    plain, sure = np.zeros((2, max(count - 1, 0)), dtype=np.bool_)
    for each in _windows(soles, height, basis.dt_s):
        for found, keeps, stood in (
            (plain, KEEPS_SHARE, STANDS),
            (sure, SURE_KEEPS_SHARE, SURE_STANDS),
        ):
            for first in each.first[(each.keeps < keeps * height) & (each.rest < stood)]:
                found[first : first + each.steps] = True
    return plain, sure


def _windows(soles: "Soles", height: float, dt_s: float) -> Iterator[_Windows]:
    """Where a sole goes as far as a shift does without a jump, for each length of a shift."""
    stands = max(round(STANDS_S / dt_s), 2)
    calm = np.linalg.norm(soles.steps[..., :2], axis=-1).min(axis=1)
    count = len(calm) + 1
    gone = np.concatenate(([0.0], np.cumsum(calm)))
    path = np.concatenate((np.zeros((1, *soles.steps.shape[1:])), np.cumsum(soles.steps, axis=0)))
    heights = np.where(soles.sole.known, soles.clearance, np.inf)
    highest, lowest, fastest = heights, heights, calm[:0]
    for steps in range(1, min(round(LONGEST_S / dt_s), count - 2 * stands - 1) + 1):
        # All that a window of so many steps holds, told from the one before, a step shorter.
        highest = np.maximum(highest[:-1], heights[steps:])
        lowest = np.minimum(lowest[:-1], heights[steps:])
        fastest = calm if steps == 1 else np.maximum(fastest[:-1], calm[steps - 1 :])
        far = np.linalg.norm((path[steps:] - path[:-steps])[..., :2], axis=-1).min(axis=1)
        goes = (far > NEAR_SHARE * height) & (far < FAR_SHARE * height)
        at = np.flatnonzero(goes & (fastest < JUMP_SHARE * far))
        at = at[(at >= stands) & (at < count - steps - stands)]
        before, after = gone[at] - gone[at - stands], gone[at + steps + stands] - gone[at + steps]
        with np.errstate(invalid="ignore"):
            moves = np.where(
                highest[at] < LOW_SHARE * height, highest[at] - lowest[at], np.inf
            ).min(axis=1, initial=np.inf)
        rest = np.maximum(before, after) / (stands * far[at] / steps)
        yield _Windows(steps, at, rest, moves)
