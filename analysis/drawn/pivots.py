# SPDX-License-Identifier: GPL-3.0-or-later
"""Pivots: the arc that the centre of mass would follow about the edge of a foot that a stiff body
tips over, if it fell as an even rod of its height does (see `topple_times`)."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..declared import of_trunk
from ..free_fall import GRAVITY
from ..tippings import Tipping, find_tippings
from ..topple import Topple, find_topples, needs_s
from ..topple_stand import RESTS_DEG
from ..topple_times import ToppleFit, fit_topple, rod_rate2, topple_s

Floats = NDArray[np.float64]

# So many leans between the first and the last are timed.
TABLED = 60
SAYS = "as a rod falls"


@dataclass(frozen=True, eq=False)
class Pivot:
    """frames (N,) from where the body leaves its stand, or is first timed; the last one, at which
    the rod leans as far as the body does at its end, may lie between frames; positions (N,3)."""

    frames: Floats
    positions: Floats
    says: str = SAYS


def pivots(basis: Basis) -> tuple[Pivot, ...]:
    """One for each topple outside declared events; none where the story's height is unknown."""
    topples = find_topples(basis)
    if not topples:
        return ()
    pairs = zip(topples, find_tippings(basis), strict=True)
    return tuple(
        _pivot(basis, topple, tipping)
        for topple, tipping in pairs
        if not of_trunk(basis, *topple.ends)
    )


def _pivot(basis: Basis, topple: Topple, tipping: Tipping) -> Pivot:
    first, last = topple.ends
    share = np.linspace(0.0, 1.0, TABLED) ** 2  # it starts slowly
    leans = tipping.lean[first] + share * (tipping.lean[last] - tipping.lean[first])
    times = _times(basis, topple, tipping, leans)
    whole = np.arange(int(times[-1] / basis.dt_s + 1e-6) + 1) * basis.dt_s
    seconds = whole if times[-1] - whole[-1] < 1e-6 else np.append(whole, times[-1])
    there = np.interp(seconds, times, leans)
    away = tipping.away[first]
    way = np.array([*tipping.way, 0.0])
    along = np.outer(np.sin(there), way) + np.outer(np.cos(there), [0.0, 0.0, 1.0])
    across = away - (away @ way) * way - away[2] * np.array([0.0, 0.0, 1.0])
    length = float(np.hypot(away @ way, away[2]))
    step = float(basis.frames[1] - basis.frames[0])
    return Pivot(
        frames=np.asarray(basis.frames[first] + seconds / basis.dt_s * step),
        positions=tipping.edge[first] + across + length * along,
    )


def _times(basis: Basis, topple: Topple, tipping: Tipping, leans: Floats) -> Floats:
    """(N,) seconds that a rod takes from the first of leans (N,) to each."""
    rod = rod_rate2(basis.height.scene_m, GRAVITY / basis.height.to_story)
    if topple.stand is not None:
        rest = max(float(tipping.lean[tipping.turns]), float(np.radians(RESTS_DEG)))
        times = np.array([topple_s(rest, float(lean), rod) for lean in leans])
        return np.asarray(times - times[0])
    own = tipping.lean[topple.first : topple.last + 1]
    fit: ToppleFit | None = fit_topple(own, basis.dt_s) if topple.even else None
    return np.array([needs_s(np.array([leans[0], lean]), fit, rod) for lean in leans])
