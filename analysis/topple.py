# SPDX-License-Identifier: GPL-3.0-or-later
"""Topples: a stiff body that tips about its feet, and how long it takes against rod and pendulum.

A topple is a stretch in which a foot stands, nothing but feet touches anything, the centre of
mass leans further and further away from the feet, from 20 degrees or less to 35 or more, and the
body is straight and stays as long as it is: a fall in which the knees give way, a step, a lunge
are none.

The lean is measured about the edge of the feet that it tips over. A body that is let go falls
about that edge no slower than an even rod of its height, and no faster than if all of its mass
were where its centre of mass is. (Ankles that push along can make it 1.6 times the rod.)
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .balance_state import of_feet
from .basis import Basis
from .basis.contacts import runs
from .basis.touch_points import TOUCH_SHARE
from .free_fall import GRAVITY
from .parts import SIDES
from .topple_times import ToppleFit, fit_topple, pendulum_rate2, rest_lean, rod_rate2, topple_s

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

# Degrees of lean: a topple begins below the first, it is timed from the second on where it gets
# there, and up to the fourth; it must reach the third.
BEGINS_DEG, FROM_DEG, LEAST_DEG, UP_TO_DEG = 20.0, 10.0, 35.0, 60.0
# A body that stands straight has its centre of mass at .56 of its height or more above its feet
# (Winter 2009); one that crouches or has bent at the knees is no rod.
STRAIGHT_SHARE = 0.5
# A fit of which a rod's rate is not told better than to this share is no even fall: it is eased
# otherwise than a fall is, or something pushes it on its way.
MOST_ERROR = 0.1
# From start to end the lean grows by this at least.
GROWS_DEG = 20.0
# The centre of mass stays as far from the feet, and hips from feet, within this share.
STIFF_SHARE = 0.1
# Shorter stretches are none.
LEAST_S = 0.15
# Where its own speed does not tell from which lean it began at rest, it is taken to be this.
RESTS_DEG = 2.0


@dataclass(frozen=True)
class Topple:
    """Samples `first` to `last`, both included, over which the lean grows from start to end.

    start_deg, end_deg   lean about the edge that it tips over, at those samples
    took_s               what it takes
    rod_s                what an even rod as long as the figure takes
    pendulum_s           what a mass at its centre of mass takes
    of_rod, of_pendulum  how fast its lean gains speed, of what these give
    error                standard error of the former
    even                 whether it falls evenly, so that the two tell something
    most_s               what the rod takes that is let go at rest where this stretch begins
    length_m             from that edge to the centre of mass as it starts, scene metres
    late_rad             how much more, or less, it leans at the end than when the rod is there
    way (2,)             unit vector, level: where it falls
    """

    first: int
    last: int
    start_deg: float
    end_deg: float
    took_s: float
    rod_s: float
    pendulum_s: float
    of_rod: float
    of_pendulum: float
    error: float
    even: bool
    most_s: float
    length_m: float
    late_rad: float
    way: tuple[float, float]


def find_topples(basis: Basis) -> tuple[Topple, ...]:
    """All topples, in time's order; none where mass, feet or the story's height are unknown."""
    if basis.com is None or not basis.soles or basis.height.story_m is None:
        return ()
    alone = _on_feet_alone(basis)
    least = max(round(LEAST_S / basis.dt_s), 5)
    found = [_topple(basis, a, b) for a, b in runs(alone) if b - a + 1 >= least]
    return tuple(each for each in found if each is not None)


def _on_feet_alone(basis: Basis) -> Bools:
    """(T,) a foot stands, and nothing but feet is near what could bear the figure."""
    stands = np.zeros(len(basis.frames), dtype=bool)
    for plant in basis.plants:
        stands[plant.first : plant.last + 1] = True
    points = basis.touch_points
    others = (points.touches & ~of_feet(basis)).any(axis=1)
    return np.asarray(stands & basis.valid.all(axis=1) & ~others & ~points.holds.any(axis=1))


def _topple(basis: Basis, first: int, last: int) -> Topple | None:
    """The topple in a stretch on which feet alone bear the figure."""
    com = basis.com
    assert com is not None
    middle = np.concatenate([each.sole.points for each in basis.soles], axis=1).mean(axis=1)
    away = (com - middle)[first : last + 1]
    lean = np.degrees(np.arctan2(np.hypot(away[:, 0], away[:, 1]), away[:, 2]))
    end = first + int(np.argmax(np.where(lean <= UP_TO_DEG, lean, -1.0)))
    level = (com - middle)[end, :2]
    way = level / max(float(np.linalg.norm(level)), 1e-9)
    edge = _edge(basis, first, end, way)
    if edge is None:
        return None
    lean = np.arctan2((com - edge)[:, :2] @ way, (com - edge)[:, 2])
    start = _begins(lean, first, end)
    if start is None or not _is_stiff(basis, com - edge, start, end):
        return None
    fit = fit_topple(lean[start : end + 1], basis.dt_s)
    length = float(np.linalg.norm((com - edge)[start]))
    straight = length >= STRAIGHT_SHARE * basis.height.scene_m
    if fit is None or not straight:
        return None
    return _told(basis, lean, fit, (start, end), length, way)


def _told(
    basis: Basis,
    lean: Floats,
    fit: ToppleFit,
    ends: tuple[int, int],
    length_m: float,
    way: Floats,
) -> Topple:
    start, end = ends
    gravity = GRAVITY / basis.height.to_story
    rod = rod_rate2(basis.height.scene_m, gravity)
    pendulum = pendulum_rate2(length_m, gravity)
    leans = lean[start : end + 1]
    even = fit.error / rod <= MOST_ERROR
    own = fit if even else None
    rod_s = _needs(leans, own, rod)
    there = np.interp(rod_s / basis.dt_s, np.arange(len(leans)), leans)
    return Topple(
        first=start,
        last=end,
        start_deg=float(np.degrees(leans[0])),
        end_deg=float(np.degrees(leans[-1])),
        took_s=(end - start) * basis.dt_s,
        rod_s=rod_s,
        pendulum_s=_needs(leans, own, pendulum),
        of_rod=fit.rate2 / rod,
        of_pendulum=fit.rate2 / pendulum,
        error=fit.error / rod,
        even=even,
        most_s=topple_s(float(leans[0]), float(leans[-1]), rod),
        length_m=length_m,
        late_rad=float(leans[-1] - there),
        way=(float(way[0]), float(way[1])),
    )


def _edge(basis: Basis, first: int, end: int, way: Floats) -> Floats | None:
    """Path (T,3) of the sole point that lies furthest the way that it falls, of those that are
    near what bears them as the stretch ends: what it stands on then is what it tips over."""
    points = np.concatenate([each.sole.points for each in basis.soles], axis=1)
    clearance = np.concatenate([each.clearance for each in basis.soles], axis=1)
    low = clearance[[first, end]].max(axis=0) < TOUCH_SHARE * basis.height.scene_m
    if not low.any():
        return None
    along = points[end, :, :2] @ way
    return points[:, int(np.argmax(np.where(low, along, -np.inf)))]


def _begins(lean: Floats, first: int, end: int) -> int | None:
    """The sample from which the lean only grows up to `end`, from 10 degrees where it comes by
    there; None where that is no topple."""
    grows = np.diff(lean[first : end + 1]) > 0.0
    stops = np.flatnonzero(~grows)
    start = first + (int(stops[-1]) + 1 if len(stops) else 0)
    if start >= end or lean[start] > np.radians(BEGINS_DEG):
        return None
    start += int(np.argmax(lean[start : end + 1] >= np.radians(FROM_DEG)))
    far = lean[end] >= np.radians(LEAST_DEG)
    return start if far and lean[end] - lean[start] >= np.radians(GROWS_DEG) else None


def _is_stiff(basis: Basis, away: Floats, start: int, end: int) -> bool:
    """Whether the centre of mass keeps its distance (T,3) from the edge, and hips from feet."""
    reaches = [np.linalg.norm(away[start : end + 1], axis=1)]
    for side in SIDES:
        hip, foot = basis.body(f"thigh.{side}"), basis.body(f"foot.{side}")
        if hip is not None and foot is not None:
            leg = basis.positions[start : end + 1, hip] - basis.positions[start : end + 1, foot]
            reaches.append(np.linalg.norm(leg, axis=1))
    return all(float(np.ptp(each)) <= STIFF_SHARE * float(each.max()) for each in reaches)


def _needs(lean: Floats, fit: ToppleFit | None, needed: float) -> float:
    """Seconds that a body takes from the first to the last of leans (N,) at a rate of `needed`.

    It begins at rest at the lean at which this one began; where this one was set going faster
    than that, it begins with its speed. Without a fit it begins as one that stands does.
    """
    start, end = float(lean[0]), float(lean[-1])
    rests = rest_lean(lean, fit) if fit else None
    if fit and rests is None and fit.rate2 > 0.0 and fit.speed > 0.0:
        return topple_s(start, end, needed, fit.speed)
    rests = min(np.radians(RESTS_DEG), start) if rests is None else rests
    return topple_s(rests, end, needed) - topple_s(rests, start, needed)
