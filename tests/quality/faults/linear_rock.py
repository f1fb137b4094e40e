# SPDX-License-Identifier: GPL-3.0-or-later
"""The body's control rocked on linear keys: out of its stand to one side, to the other, and back.

Three keys or four at the extremes, one where it leaves its stand and one where it is back; feet
stay where they are. What it does by itself before and after goes on.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..case import Case
from ..moves import height_of, target
from ..planted import Kind, Planted
from ..timing import without_curves
from . import STORY_M
from .swing_turns import LEAD_S, Rock, Spacing, even, rocked

Floats = NDArray[np.float64]

# Extremes; seconds from one to the next.
EXTREMES, SIDE_S = (2, 4), (0.4, 1.0)
# It stands where the body by itself goes less far than this share of the way.
STANDS = 0.25


@dataclass(frozen=True)
class LinearRock(Rock):
    """A rock that leaves its stand, and is back in it, half a way from the outer extremes."""

    half: int = 0

    def path(self, count: int, spacing: Spacing) -> Floats:
        """(T,) from 0 to -.5 and .5 and so on, and back to 0; each way as it is spaced."""
        keys = [self.extremes[0] - self.half, *self.extremes, self.extremes[-1] + self.half]
        signs = [0.0, *(-0.5 * (-1.0) ** n for n in range(len(self.extremes))), 0.0]
        values = np.zeros(count)
        for a, b, low, high in zip(keys, keys[1:], signs, signs[1:], strict=False):
            at = np.arange(a, b + 1)
            values[at] = low + (high - low) * spacing((at - a) / (b - a))
        return values


def plant_rock(
    case: Case, size: float, part: str, rng: np.random.Generator, spacing: Spacing = even
) -> Planted | None:
    """Two to four extremes, `size` cm from side to side, told at 1.7 m."""
    clip = case.clip
    root, rock = target(clip, part), _linear(len(clip.frames), clip.dt_s, rng)
    if root is None or rock is None:
        return None
    way_m = size / 100.0 * height_of(clip) / STORY_M
    if np.ptp(clip.positions[rock.span, root.joint, :2], axis=0).max() > STANDS * way_m:
        return None
    made = rocked(clip, root, rock, way_m, spacing)
    if made is None:
        return None
    return Planted(
        clip=without_curves(made),
        check="hang_time",
        part="root",
        carriers=("root", "pelvis"),
        frames=tuple(float(clip.frames[at]) for at in (rock.extremes[0], rock.extremes[-1])),
        size=size,
        where=f"{len(rock.extremes)} extremes, {rock.extremes[1] - rock.extremes[0]} frames apart",
    )


def _linear(count: int, dt_s: float, rng: np.random.Generator) -> LinearRock | None:
    side = 2 * round(0.5 * rng.uniform(*SIDE_S) / dt_s)
    number = int(rng.integers(EXTREMES[0], EXTREMES[1] + 1))
    lead = side // 2 + round(LEAD_S / dt_s)
    room = count - (number - 1) * side - 2 * lead - 2
    if room < 1:
        return None
    first = lead + 1 + int(rng.integers(room))
    return LinearRock(tuple(first + n * side for n in range(number)), lead, side // 2)


KINDS = (
    Kind(
        name="linear_rock",
        check="hang_time",
        says="the body rocked from its stand to both sides and back, on linear keys",
        unit="cm",
        sizes={"root": (12.0, 16.0, 20.0)},
        promised={"root": (12.0, 12.0)},
        sets=("holds",),
        plant=plant_rock,
    ),
)
