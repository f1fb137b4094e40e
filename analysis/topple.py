# SPDX-License-Identifier: GPL-3.0-or-later
"""Topples: a stiff body that tips about its feet, and how long it takes against rod and pendulum.

The lean is measured about the edge of the feet that it tips over. A body that is let go falls
about that edge no slower than an even rod of its height, and no faster than if all of its mass
were where its centre of mass is. (Ankles that push along can make it 1.6 times the rod.)
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .free_fall import GRAVITY
from .tippings import Tipping, find_tippings, is_stiff
from .topple_stand import Fall, Stand, find_stand
from .topple_times import ToppleFit, fit_topple, pendulum_rate2, rest_lean, rod_rate2, topple_s

Floats = NDArray[np.float64]

# A fit of which a rod's rate is not told better than to this share is no even fall: it is eased
# otherwise than a fall is, or something pushes it on its way.
MOST_ERROR = 0.1
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
    early_rad            how much more it leans at the end than a pendulum does after that time
    way (2,)             unit vector, level: where it falls
    stand                all of it, told from where it leaves its stand; None where it is under way
                         before it is seen
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
    early_rad: float
    way: tuple[float, float]
    stand: Stand | None

    @property
    def ends(self) -> tuple[int, int]:
        """First and last sample of all that is told of it."""
        return (self.stand.first, self.stand.last) if self.stand else (self.first, self.last)


def find_topples(basis: Basis) -> tuple[Topple, ...]:
    """All topples, in time's order; none where mass, feet or the story's height are unknown."""
    if basis.com is None or not basis.soles or basis.height.story_m is None:
        return ()
    return tuple(_told(basis, each) for each in find_tippings(basis))


def _told(basis: Basis, tipping: Tipping) -> Topple:
    start, end = tipping.start, tipping.end
    gravity = GRAVITY / basis.height.to_story
    length_m = float(np.linalg.norm(tipping.away[start]))
    rod = rod_rate2(basis.height.scene_m, gravity)
    pendulum = pendulum_rate2(length_m, gravity)
    leans = tipping.lean[start : end + 1]
    # Of too few samples nothing tells how evenly they go on.
    fit = fit_topple(leans, basis.dt_s) or ToppleFit(0.0, float("inf"), 0.0)
    even = fit.error / rod <= MOST_ERROR
    own = fit if even else None
    rod_s = needs_s(leans, own, rod)
    there = np.interp(rod_s / basis.dt_s, np.arange(len(leans)), leans)
    fall = Fall(tipping, rod, pendulum, gravity, basis.dt_s)
    stiff = is_stiff(basis, tipping.away, tipping.turns, tipping.lands)
    return Topple(
        first=start,
        last=end,
        start_deg=float(np.degrees(leans[0])),
        end_deg=float(np.degrees(leans[-1])),
        took_s=(end - start) * basis.dt_s,
        rod_s=rod_s,
        pendulum_s=needs_s(leans, own, pendulum),
        of_rod=fit.rate2 / rod,
        of_pendulum=fit.rate2 / pendulum,
        error=fit.error / rod,
        even=even,
        most_s=topple_s(float(leans[0]), float(leans[-1]), rod),
        length_m=length_m,
        late_rad=float(leans[-1] - there),
        early_rad=_early(leans, own, pendulum, (end - start) * basis.dt_s),
        way=(float(tipping.way[0]), float(tipping.way[1])),
        stand=find_stand(fall) if stiff else None,
    )


def needs_s(lean: Floats, fit: ToppleFit | None, needed: float) -> float:
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


def _early(lean: Floats, fit: ToppleFit | None, pendulum: float, took_s: float) -> float:
    """How much less a pendulum leans than the last of leans (N,), after the time that these took;
    as far as these tell."""
    times = [needs_s(lean[: n + 1], fit, pendulum) for n in range(len(lean))]
    return float(lean[-1] - np.interp(took_s, times, lean))
