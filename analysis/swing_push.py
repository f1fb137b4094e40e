# SPDX-License-Identifier: GPL-3.0-or-later
"""How hard the ground must push a body that turns back to the side, and how hard it can.

What bears a standing body pushes it sideways by the weight times how far outside of its centre of
mass it bears over how high that is (a point mass on a leg: from d outside at a height h, g d / h),
and no harder than feet grip: by .9 of the weight (common practice for shoes on dry ground, no
source).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .free_fall import GRAVITY

Floats = NDArray[np.float64]

GRIP = 0.9
# A turn is as quick as its path tells over one frame at 24 a second before and after.
OVER_S = 1.0 / 24.0


@dataclass(frozen=True)
class Push:
    """needed, given   in g; outside_m: how far outside of the body it is borne, story metres, or
    None where nothing bears it there."""

    needed: float
    given: float
    outside_m: float | None


def push_of(
    basis: Basis, at: int, path: Floats, left: Floats, *, over_s: float = OVER_S
) -> Push | None:
    """What a turn of the body on its path (T,1) to the left (T,3) takes at a sample, over so long
    before and after; None where its size in the story or its centre of mass are not known."""
    if basis.com is None or basis.height.story_m is None:
        return None
    steps = max(round(over_s / basis.dt_s), 1)
    if not steps <= at < len(path) - steps:
        return None
    bend = path[at + steps, 0] - 2.0 * path[at, 0] + path[at - steps, 0]
    bend *= basis.height.to_story / (steps * basis.dt_s) ** 2
    points = basis.touch_points
    place = points.place[at, points.touches[at]] - basis.com[at]
    out = -np.sign(bend) * place @ left[at] * basis.height.to_story
    high = float(basis.com[at, 2] - basis.ground.floor_z) * basis.height.to_story
    outside = float(out.max(initial=0.0))
    given = min(outside / max(high, 1e-6), GRIP)
    return Push(abs(float(bend)) / GRAVITY, given, outside if outside > 0.0 else None)
