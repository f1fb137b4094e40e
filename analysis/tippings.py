# SPDX-License-Identifier: GPL-3.0-or-later
"""Where stiff bodies topple: the edge that they tip over, and the samples over which they do.

Such a stretch is one in which a foot stands, nothing but feet touches anything, the centre of
mass leans further and further away from the feet, from 20 degrees or less to 35 or more, and the
body is straight and stays as long as it is: a fall in which the knees give way, a step, a lunge
are none. It goes on before, and after, for as long as feet alone touch and that edge stays.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .balance_state import of_feet
from .basis import Basis
from .basis.contacts import runs
from .basis.touch_points import TOUCH_SHARE
from .once import once
from .parts import SIDES

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Degrees of lean: a topple begins below the first, it is timed from the second on where it gets
# there, and up to the fourth; it must reach the third.
BEGINS_DEG, FROM_DEG, LEAST_DEG, UP_TO_DEG = 20.0, 10.0, 35.0, 60.0
# A body that stands straight has its centre of mass at .56 of its height or more above its feet
# (Winter 2009); one that crouches or has bent at the knees is no rod.
STRAIGHT_SHARE = 0.5
# The lean grows by this at least.
GROWS_DEG = 20.0
# The centre of mass stays as far from the feet, and hips from feet, within this share.
STIFF_SHARE = 0.1
# From where the lean begins to grow; what is shorter, or has fewer samples, is none.
LEAST_S, LEAST_SAMPLES = 0.15, 5
# A foot that turns about its toes fast is seen to stand no more for so long.
ROLLS_S = 0.25


@dataclass(frozen=True, eq=False)
class Tipping:
    """A stretch in which a stiff body tips over.

    turns, start, end, lands  samples, in that order: from where the lean grows, from and up to
                              where it is timed, and up to where the body goes on so
    stood                     whether feet alone bore it before: its lean turned at `turns`
    stiff                     whether it is straight, and stays as long as it is
    lean (T,)                 radians of the whole clip, about the edge that it tips over
    edge (T,3)                metres, scene: where that edge is
    away (T,3)                metres from there to the centre of mass
    way (2,)                  unit vector, level: where it falls
    """

    turns: int
    start: int
    end: int
    lands: int
    stood: bool
    stiff: bool
    lean: Floats
    edge: Floats
    away: Floats
    way: Floats


def find_tippings(basis: Basis) -> tuple[Tipping, ...]:
    """All of stiff bodies, in time's order; none where mass or feet are unknown."""
    told = [each for each in _all_tippings(basis) if each.stiff]
    # Where the foot rolls on its way, what goes on after it has begun before.
    return tuple(
        each
        for n, each in enumerate(told)
        if all(other.start > each.end for other in told[n + 1 :])
    )


def find_foldings(basis: Basis) -> tuple[Tipping, ...]:
    """Those of bodies that bend on their way: they tell nothing of gravity."""
    return tuple(each for each in _all_tippings(basis) if not each.stiff)


@once
def _all_tippings(basis: Basis) -> tuple[Tipping, ...]:
    # A ball on a leg leans as that does: it is no stiff body.
    if basis.com is None or not basis.soles or basis.clip.is_ball:
        return ()
    borne = _on_feet_alone(basis)
    found = [_tipping(basis, borne, a, b) for a, b in runs(borne & _stands(basis, ROLLS_S))]
    return tuple(each for each in found if each is not None)


def _stands(basis: Basis, rolls_s: float) -> Bools:
    """(T,) a foot stands, or stood within so many seconds: it rolls as the body tips."""
    stands = np.zeros(len(basis.frames), dtype=bool)
    for plant in basis.plants:
        stands[plant.first : plant.last + 1 + round(rolls_s / basis.dt_s)] = True
    return stands


def _on_feet_alone(basis: Basis) -> Bools:
    """(T,) feet touch what bears the figure, and nothing but feet is near it."""
    points = basis.touch_points
    feet = of_feet(basis)
    others = (points.touches & ~feet).any(axis=1) | points.holds.any(axis=1)
    touch = (points.touches & feet).any(axis=1)
    return np.asarray(touch & basis.valid.all(axis=1) & ~others)


def _tipping(basis: Basis, borne: Bools, first: int, last: int) -> Tipping | None:
    """That of a stretch on which a foot stands; on `borne` (T,) feet alone bear the figure."""
    com, height = basis.com, basis.height.scene_m
    assert com is not None
    points = np.concatenate([each.sole.points for each in basis.soles], axis=1)
    away = (com - points.mean(axis=1))[first : last + 1]
    lean = np.degrees(np.arctan2(np.hypot(away[:, 0], away[:, 1]), away[:, 2]))
    end = first + int(np.argmax(np.where(lean <= UP_TO_DEG, lean, -1.0)))
    level = (com - points.mean(axis=1))[end, :2]
    way = level / max(float(np.linalg.norm(level)), 1e-9)
    edge = _edge(basis, first, end, way)
    if edge is None:
        return None
    away = com - points[:, edge]
    lean = np.arctan2(away[:, :2] @ way, away[:, 2])
    moved = np.linalg.norm(points[:, edge] - points[end, edge], axis=1)
    stays = (moved < TOUCH_SHARE * height) & basis.valid.all(axis=1)
    # While a foot is planted it may creep; what counts is that it is no step.
    there = borne & (stays | _stands(basis, 0.0))
    turns, lands = _grows(lean, there, stays, end)
    start = _begins(lean, turns, end)
    least = max(round(LEAST_S / basis.dt_s), LEAST_SAMPLES)
    if start is None or end - turns + 1 < least:
        return None
    straight = float(np.linalg.norm(away[start])) >= STRAIGHT_SHARE * height
    stiff = straight and is_stiff(basis, away, start, end)
    lands = lands if is_stiff(basis, away, start, lands) else end
    stood = turns > 0 and bool(there[turns - 1])
    return Tipping(turns, start, end, lands, stood, stiff, lean, points[:, edge], away, way)


def _edge(basis: Basis, first: int, end: int, way: Floats) -> int | None:
    """The sole point that lies furthest the way that it falls, of those that are near what bears
    them as the stretch ends: what it stands on then is what it tips over."""
    points = np.concatenate([each.sole.points for each in basis.soles], axis=1)
    clearance = np.concatenate([each.clearance for each in basis.soles], axis=1)
    low = clearance[[first, end]].max(axis=0) < TOUCH_SHARE * basis.height.scene_m
    if not low.any():
        return None
    along = points[end, :, :2] @ way
    return int(np.argmax(np.where(low, along, -np.inf)))


def _grows(lean: Floats, there: Bools, stays: Bools, end: int) -> tuple[int, int]:
    """First and last sample about `end` between which the lean (T,) only grows, `there` (T,); on
    from the last as long as it grows faster and faster: what touches by then does not hold it."""
    first = last = end
    while first > 0 and there[first - 1] and lean[first - 1] < lean[first]:
        first -= 1
    gains = np.diff(lean, append=lean[-1])
    while last < len(lean) - 1 and gains[last] > 0.0 and stays[last + 1]:
        if not there[last + 1] and gains[last] < gains[last - 1]:
            break
        last += 1
    return first, last


def _begins(lean: Floats, turns: int, end: int) -> int | None:
    """The sample from which it is timed, of those from `turns` to `end` over which the lean only
    grows: at 10 degrees where it comes by there; None where that is no topple."""
    if turns >= end or lean[turns] > np.radians(BEGINS_DEG):
        return None
    start = turns + int(np.argmax(lean[turns : end + 1] >= np.radians(FROM_DEG)))
    far = lean[end] >= np.radians(LEAST_DEG)
    return start if far and lean[end] - lean[turns] >= np.radians(GROWS_DEG) else None


def is_stiff(basis: Basis, away: Floats, start: int, end: int) -> bool:
    """Whether the centre of mass keeps its distance (T,3) from the edge, and hips from feet."""
    reaches = [np.linalg.norm(away[start : end + 1], axis=1)]
    for side in SIDES:
        hip, foot = basis.body(f"thigh.{side}"), basis.body(f"foot.{side}")
        if hip is not None and foot is not None:
            leg = basis.positions[start : end + 1, hip] - basis.positions[start : end + 1, foot]
            reaches.append(np.linalg.norm(leg, axis=1))
    return all(float(np.ptp(each)) <= STIFF_SHARE * float(each.max()) for each in reaches)
