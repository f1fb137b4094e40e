# SPDX-License-Identifier: GPL-3.0-or-later
"""Swings of a held prop, and whether it keeps its angle to the forearm through them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .carried import Carried

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# A swing turns by so many degrees within so many seconds: a fast one whatever turns it, a
# slower one only where the arm itself turns against the chest by this share of it.
SWING_DEG, FAST_S, SLOW_S, ARM_SHARE = 85.0, 0.5, 1.0, 0.33
# What drags turns on the forearm as the pace of the swing changes: by this time is the least that
# counts as drag, and more degrees than the second number always do. A wrist that is cocked and
# opens late gives little over the first half of a stroke: it is stiff only if it gives so little
# over this share of the whole stroke, which lasts while its pace is above a share of its highest.
# Within the last number it gives nothing, at whatever pace; no wrist is so still for so long.
DRAG_S, GIVE_DEG = 0.02, 3.0
WHOLE_SHARE, STROKE_SHARE = 0.85, 0.2
RIGID_S, LEAST_DEG = 1e3, 0.8
# Fewer steps than these tell nothing of a wrist.
FEWEST = 3
# What is slower than this share of its fastest step is no part of a swing.
MOVES_SHARE = 0.05


@dataclass(frozen=True)
class Swing:
    """Samples first..last, how far it turns there (degrees), and how far the prop turns on the
    forearm meanwhile (degrees, from where it is at the first)."""

    first: int
    last: int
    turn: float
    give: float


@dataclass(frozen=True, eq=False)
class Ways:
    """Unit vectors (T,3): a prop and its forearm in the world, the prop in the forearm's axes,
    the forearm in the chest's; known (T,)."""

    prop: Floats
    forearm: Floats
    on_forearm: Floats
    on_chest: Floats
    known: Bools


def ways_of(basis: Basis, carried: Carried, forearm: int) -> Ways:
    """Where a prop and the forearm that holds it point."""
    prop = carried.directed(basis, carried.tip - carried.base)
    hand = basis.body(f"hand.{carried.side}")
    if hand is None or hand == forearm:
        arm = basis.marks[:, forearm, 1] - basis.positions[:, forearm]
    else:
        arm = basis.positions[:, hand] - basis.positions[:, forearm]
    arm = arm / np.maximum(np.linalg.norm(arm, axis=-1, keepdims=True), 1e-12)
    chest = basis.body("chest")
    trunk = basis.lead if chest is None else chest
    return Ways(
        prop=prop,
        forearm=arm,
        on_forearm=quat.rotate(quat.conjugate(basis.rotations[:, forearm]), prop),
        on_chest=quat.rotate(quat.conjugate(basis.rotations[:, trunk]), arm),
        known=basis.valid[:, carried.body] & basis.valid[:, forearm],
    )


def swings(ways: Ways, dt_s: float, *, least: float = SWING_DEG) -> list[Swing]:
    """All swings, one after the other, each from where it sets off to where it turns back."""
    shortest = _reached(ways, dt_s, least, None)[0]
    found: list[Swing] = []
    at, last = 0, len(shortest) - 1
    while (starts := np.flatnonzero(shortest[at:] > 0)).size:
        start = at + int(starts[0])
        near = np.arange(start, min(start + shortest[start] + 1, len(shortest)))
        near = near[shortest[near] > 0]
        start = int(near[np.argmin(shortest[near])])
        end = _on(ways, start, start + int(shortest[start]))
        start = max(last - _on(_reversed(ways), last - end, last - start), at)
        found.append(_told(ways, start, end))
        at = end
    return found


def stiff_swings(
    ways: Ways, dt_s: float, *, least: float = SWING_DEG, factor: float = 1.0
) -> list[Swing]:
    """Swings of `least` degrees through which a prop keeps its angle to the forearm; those that
    share samples are one. factor: of the tolerance; a wider one takes less for stiff."""
    found = _grouped(ways, *_reached(ways, dt_s, least, (DRAG_S, GIVE_DEG / factor))[1:])
    pace = _paces(ways, dt_s)
    kept: list[Swing] = []
    for each in found:
        if _covers_stroke(pace, each):
            kept.append(each)
            continue
        inside = _part(ways, each.first, each.last)
        rigid = _grouped(inside, *_reached(inside, dt_s, least, (RIGID_S, LEAST_DEG / factor))[1:])
        kept += [_told(ways, each.first + one.first, each.first + one.last) for one in rigid]
    return [_moving(pace, each) for each in kept]


def _grouped(ways: Ways, furthest: Ints, most: Floats) -> list[Swing]:
    """Swings that share samples as one, told by the one that turns most."""
    groups: list[list[int]] = []
    stop = -1
    for first in np.flatnonzero(furthest > 0).tolist():
        if first >= stop:
            groups.append([])
            stop = first
        groups[-1].append(first)
        stop = max(stop, first + int(furthest[first]))
    found = []
    for firsts in groups:
        best = max(firsts, key=lambda n: float(most[n]))
        told = _told(ways, best, best + int(furthest[best]))
        last = max(n + int(furthest[n]) for n in firsts)
        found.append(Swing(firsts[0], last, told.turn, told.give))
    return found


def _covers_stroke(pace: Floats, swing: Swing) -> bool:
    """Whether a swing is most of the way that is gone while the pace stays high around it."""
    inside = pace[swing.first : swing.last]
    slow = np.flatnonzero(pace < STROKE_SHARE * inside.max())
    before, after = slow[slow < swing.first], slow[slow >= swing.last]
    start = int(before[-1]) + 1 if len(before) else 0
    stop = int(after[0]) if len(after) else len(pace)
    return bool(inside.sum() >= WHOLE_SHARE * pace[start:stop].sum())


def _part(ways: Ways, first: int, last: int) -> Ways:
    return Ways(*(getattr(ways, name)[first : last + 1] for name in Ways.__dataclass_fields__))


def _moving(pace: Floats, swing: Swing) -> Swing:
    """A swing without the stand before and after it."""
    inside = pace[swing.first : swing.last]
    moves = np.flatnonzero(inside >= MOVES_SHARE * inside.max())
    first, last = swing.first + int(moves[0]), swing.first + int(moves[-1]) + 1
    return Swing(first, last, swing.turn, swing.give)


def _reached(
    ways: Ways, dt_s: float, least: float, give: tuple[float, float] | None
) -> tuple[Ints, Ints, Floats]:
    """(T,) each: after how many samples a swing from each on has turned by `least` degrees, after
    how many it has turned furthest, and by how much; 0 where it does not.

    With `give`: without turning on the forearm by more than a drag of so many seconds explains,
    and so many degrees at the most.
    """
    count = len(ways.known)
    soonest, furthest = np.zeros(count, dtype=np.int64), np.zeros(count, dtype=np.int64)
    most, given = np.zeros(count), np.zeros(count)
    holds = ways.known.copy()
    pace = _paces(ways, dt_s)
    high, low = np.full(count, -np.inf), np.full(count, np.inf)
    for lag in range(1, min(round(SLOW_S / dt_s), count - 1) + 1):
        now, then = slice(0, count - lag), slice(lag, count)
        holds[now] &= ways.known[then]
        turn = _turn(ways, now, then)
        swung = holds[now] & (turn >= least) & (lag >= FEWEST)
        if lag > round(FAST_S / dt_s):
            swung &= _apart(ways.on_chest[now], ways.on_chest[then]) >= ARM_SHARE * turn
        if give is not None:
            given[now] = np.maximum(given[now], _apart(ways.on_forearm[now], ways.on_forearm[then]))
            step = pace[lag - 1 : count - 1]
            high[now], low[now] = np.maximum(high[now], step), np.minimum(low[now], step)
            drag = np.maximum(give[0] * (high[now] - low[now]), LEAST_DEG)
            swung &= given[now] <= np.minimum(drag, give[1])
        soonest[now] = np.where(swung & (soonest[now] == 0), lag, soonest[now])
        further = swung & (turn > most[now])
        furthest[now] = np.where(further, lag, furthest[now])
        most[now] = np.where(further, turn, most[now])
    return soonest, furthest, most


def _paces(ways: Ways, dt_s: float) -> Floats:
    """(T-1,) degrees a second of forearm or prop, whichever turns faster."""
    return _turn(ways, slice(0, -1), slice(1, None)) / dt_s


def _turn(ways: Ways, now: slice, then: slice) -> Floats:
    """Degrees that prop or forearm turn, whichever turns further."""
    return np.asarray(
        np.maximum(
            _apart(ways.prop[now], ways.prop[then]), _apart(ways.forearm[now], ways.forearm[then])
        )
    )


def _on(ways: Ways, start: int, end: int) -> int:
    """The sample up to which a swing from `start` goes on turning away."""
    away = ways.known[end:]
    turn = np.maximum(
        _apart(ways.prop[[start]], ways.prop[end:]),
        _apart(ways.forearm[[start]], ways.forearm[end:]),
    )
    back = np.flatnonzero((np.diff(turn) <= 0.0) | ~away[1:])
    return end + (int(back[0]) if len(back) else len(turn) - 1)


def _reversed(ways: Ways) -> Ways:
    return Ways(*(getattr(ways, name)[::-1] for name in Ways.__dataclass_fields__))


def _told(ways: Ways, first: int, last: int) -> Swing:
    on = ways.on_forearm[first : last + 1]
    turn = max(
        float(_apart(each[first : first + 1], each[last : last + 1])[0])
        for each in (ways.prop, ways.forearm)
    )
    return Swing(first, last, turn, float(_apart(on[:1], on).max()))


def _apart(a: Floats, b: Floats) -> Floats:
    """(N,) degrees between unit vectors (N,3)."""
    return np.asarray(np.degrees(np.arccos(np.clip(np.einsum("ni,ni->n", a, b), -1.0, 1.0))))
