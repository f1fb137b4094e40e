# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a clean clip stands slowly on its feet alone, and how far a point is outside of these.

Told by other means than the check's: feet by the plants of the basis, their edges by their points
and the usual breadth of a foot, distances by support functions.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Settings
from analysis.basis import Basis, build_basis
from analysis.basis.contacts import Soles, runs

from .case import Case
from .moves import height_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Shares of the height, at 1.7 m.
STORY_M = 1.7
# Samples left alone at a range's ends.
EDGE = 2
# The figure's weight goes slower than this (.15 m/s).
SLOW = 0.15 / STORY_M
# A sole point this low (6 cm) bears; a foot is .055 of the height wide (Drillis & Contini 1966, in
# Winter 2009, Figure 4.1).
LOW, WIDE = 0.06 / STORY_M, 0.055
# Knees lower than this kneel.
KNEES = 0.12
# Poses drawn at random are known to hang where they are further out than this (4 cm), for so long.
BEYOND, BEYOND_S = 0.04 / STORY_M, 0.25
AROUND = np.radians(np.arange(360.0))


@dataclass(frozen=True, eq=False)
class Stand:
    """The clean clip, seen for a hold: com (T,3); outline {side: (T,N,2)} of each foot's sole;
    low {side: (T,)} whether it bears; alone (T,) whether nothing else does; fits (T,) whether the
    weight is slow besides."""

    com: Floats
    outline: dict[str, Floats]
    low: dict[str, Bools]
    alone: Bools
    fits: Bools


@cache
def stand_in(case: Case) -> Stand | None:
    """A clean clip's stand; None where its weight or a foot is not known."""
    return stand_of(case.clip)


def hangs(clip: Clip) -> bool:
    """Whether the weight of a figure that stands slowly is beyond its feet for a quarter of a
    second: such a clip is no clean motion for `balance`."""
    stand = stand_of(clip)
    if stand is None:
        return False
    out = outside(stand.com[:, :2], bearing_points(stand, slice(0, len(stand.com))))
    beyond = stand.fits & (out > BEYOND * height_of(clip))
    return any((b - a) * clip.dt_s >= BEYOND_S for a, b in runs(beyond))


def stand_of(clip: Clip) -> Stand | None:
    """A clip's stand; None where its weight or a foot is not known."""
    basis = build_basis(clip, Settings(cycle="no"))
    if basis.com is None or basis.com_velocity is None or len(basis.soles) < 2:
        return None
    height = height_of(clip)
    low, outline = {}, {}
    for each in basis.soles:
        stands = np.zeros(len(basis.frames), dtype=bool)
        for plant in basis.plants:
            if plant.side == each.sole.side:
                stands[plant.first : plant.last + 1] = True
        low[each.sole.side] = stands
        outline[each.sole.side] = _outline(basis, each, height)
    slow = np.hypot(*basis.com_velocity[:, :2].T) < SLOW * height
    touch = basis.touch_points
    kinds = [(b.part or "").split(".")[0] for b in basis.bodies]
    feet = np.array([kind in ("foot", "toe", "shin") for kind in kinds])
    knees = [n for n, kind in enumerate(kinds) if kind == "shin"]
    others = (touch.touches & ~feet[touch.body]).any(axis=1)
    others |= (basis.positions[:, knees, 2] < KNEES * height).any(axis=1)
    near = [touch.touches[:, touch.body == each.sole.body].any(axis=1) for each in basis.soles]
    swings = (np.array(near) != np.stack(list(low.values()))).any(axis=0)
    stood = np.any(list(low.values()), axis=0)
    alone = stood & ~others & ~swings
    return Stand(basis.com, outline, low, alone, alone & slow)


def _outline(basis: Basis, each: Soles, height: float) -> Floats:
    """(T,2N,2) the edges of a sole whose points lie on a line: half its width to either side."""
    points = np.where((each.clearance < LOW * height)[..., None], each.sole.points[..., :2], np.nan)
    along = (basis.marks[:, each.sole.body, 1] - basis.marks[:, each.sole.body, 0])[:, :2]
    along = along / np.maximum(np.linalg.norm(along, axis=-1, keepdims=True), 1e-9)
    across = 0.5 * WIDE * height * np.stack((-along[:, 1], along[:, 0]), axis=-1)[:, None]
    return np.concatenate((points - across, points + across), axis=1)


def places(stand: Stand, ease: int, hold: int) -> Floats:
    """First samples of holds for which the same feet bear, and nothing else does."""
    same = np.stack(list(stand.low.values()), axis=1)
    steady = np.concatenate(([True], (same[1:] == same[:-1]).all(axis=1)))
    found = []
    for a, b in runs(stand.fits & steady):
        a, b = max(a, EDGE), min(b, len(steady) - 1 - EDGE)
        found += list(range(a + ease, b - ease - hold + 1))
    return np.array(found, dtype=int)


def outside(com: Floats, points: Floats) -> Floats:
    """(T,) how far points (T,2) are outside the hull of others (T,N,2), below 0 inside: the most,
    over directions all around, by which each is beyond the furthest. NaN are no points; infinite
    where all are."""
    ways = np.stack((np.cos(AROUND), np.sin(AROUND)))
    along = points @ ways
    furthest = np.where(np.isnan(along), -np.inf, along).max(axis=1)
    return np.asarray((com @ ways - furthest).max(axis=1))


def bearing_points(stand: Stand, held: slice) -> Floats:
    """(T,N,2) the outlines of the feet that bear, NaN for others."""
    each = [
        np.where(stand.low[side][held, None, None], outline[held], np.nan)
        for side, outline in stand.outline.items()
    ]
    return np.concatenate(each, axis=1)
