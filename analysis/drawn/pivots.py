# SPDX-License-Identifier: GPL-3.0-or-later
"""Pivots: the arc that the centre of mass would follow about the edge of a foot that a body tips
over, if it fell as an even rod of its height does (see `topple_times`).

It sets out as the body does where that is timed (at 10 degrees), since from a stand a hair's
breadth of lean more or less is many frames. Where `gravity` blames the fall, it sets out from the
stand, as the frames that the finding gives do.

A body that bends as it comes down is no rod. Up to there it is beside one, where it has leant far
by then: `gravity` does not time it, and yet how it sets out can be compared.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..declared import of_trunk
from ..free_fall import GRAVITY
from ..tippings import (
    GROWS_DEG,
    STRAIGHT_SHARE,
    Tipping,
    find_foldings,
    find_tippings,
    is_stiff,
)
from ..topple import Topple, find_topples, needs_s
from ..topple_stand import LEAVES_DEG, RESTS_DEG
from ..topple_times import fit_topple, rod_rate2, topple_s

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


def pivots(basis: Basis, blamed: Sequence[tuple[float, float]] = ()) -> tuple[Pivot, ...]:
    """One for each topple outside declared events; none where the story's height is unknown.

    blamed   first and last frames of what falls otherwise than it should
    """
    if basis.height.story_m is None:
        return ()
    tippings = find_tippings(basis)
    topples = find_topples(basis) if tippings else ()
    pairs = zip(topples, tippings, strict=True)
    found = [_stiff(basis, topple, tipping, blamed) for topple, tipping in pairs]
    folding = [_folding(basis, each) for each in find_foldings(basis)]
    return tuple(each for each in (*found, *folding) if each is not None)


def _stiff(
    basis: Basis, topple: Topple, tipping: Tipping, blamed: Sequence[tuple[float, float]]
) -> Pivot | None:
    last, (begins, ends) = topple.ends[1], basis.frames[list(topple.ends)]
    wrong = any(low <= ends and high >= begins for low, high in blamed)
    if topple.stand is not None and (wrong or not topple.even):
        return _from_stand(basis, tipping, *topple.ends)
    first = topple.first
    leans, rod = _leans(tipping, first, last), _rod(basis)
    own = tipping.lean[first : topple.last + 1]
    fit = fit_topple(own, basis.dt_s) if topple.even else None
    if fit is not None:
        times = np.array([needs_s(np.array([leans[0], lean]), fit, rod) for lean in leans])
    else:  # it is under way before it is seen: the rod sets out as fast as it
        speed = _speed(tipping.lean, first, basis.dt_s)
        times = np.array([topple_s(float(leans[0]), float(lean), rod, speed) for lean in leans])
    return _pivot(basis, tipping, first, last, leans, times)


def _speed(lean: Floats, at: int, dt_s: float) -> float:
    """rad/s at a sample that leads to the next one."""
    before = max(at - 1, 0)
    return max(float(lean[at + 1] - lean[before]) / ((at + 1 - before) * dt_s), 0.0)


def _folding(basis: Basis, tipping: Tipping) -> Pivot | None:
    """That of a body that stands straight, and tips over far before it bends; else None."""
    start, end = tipping.start, tipping.lands
    long = float(np.linalg.norm(tipping.away[start])) >= STRAIGHT_SHARE * basis.height.scene_m
    if not (tipping.stood and long):
        return None
    while end > start and not is_stiff(basis, tipping.away, start, end):
        end -= 1
    leaves = _rest(tipping) + np.radians(LEAVES_DEG)
    first = tipping.turns + int(np.argmax(tipping.lean[tipping.turns : end + 1] >= leaves))
    if tipping.lean[end] - tipping.lean[tipping.turns] < np.radians(GROWS_DEG):
        return None
    return _from_stand(basis, tipping, first, end)


def _from_stand(basis: Basis, tipping: Tipping, first: int, last: int) -> Pivot | None:
    leans, rest, rod = _leans(tipping, first, last), _rest(tipping), _rod(basis)
    times = np.array([topple_s(rest, float(lean), rod) for lean in leans])
    return _pivot(basis, tipping, first, last, leans, times - times[0])


def _rest(tipping: Tipping) -> float:
    """The lean, radians, at which it is let go."""
    return max(float(tipping.lean[tipping.turns]), float(np.radians(RESTS_DEG)))


def _rod(basis: Basis) -> float:
    return rod_rate2(basis.height.scene_m, GRAVITY / basis.height.to_story)


def _leans(tipping: Tipping, first: int, last: int) -> Floats:
    """(TABLED,) leans between two samples, nearer to each other where the body starts slowly."""
    share = np.linspace(0.0, 1.0, TABLED) ** 2
    return np.asarray(tipping.lean[first] + share * (tipping.lean[last] - tipping.lean[first]))


def _pivot(
    basis: Basis, tipping: Tipping, first: int, last: int, leans: Floats, times: Floats
) -> Pivot | None:
    """The arc over leans (N,) that are reached so many seconds (N,) after the first sample."""
    if of_trunk(basis, first, last) or not np.isfinite(times[-1]):
        return None
    whole = np.arange(int(times[-1] / basis.dt_s + 1e-6) + 1) * basis.dt_s
    seconds = whole if times[-1] - whole[-1] < 1e-6 else np.append(whole, times[-1])
    there, away = np.interp(seconds, times, leans), tipping.away[first]
    way, up = np.array([*tipping.way, 0.0]), np.array([0.0, 0.0, 1.0])
    across = away - (away @ way) * way - away[2] * up
    length = float(np.hypot(away @ way, away[2]))
    step = float(basis.frames[1] - basis.frames[0])
    return Pivot(
        frames=np.asarray(basis.frames[first] + seconds / basis.dt_s * step),
        positions=tipping.edge[first]
        + across
        + length * (np.outer(np.sin(there), way) + np.outer(np.cos(there), up)),
    )
