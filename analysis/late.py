# SPDX-License-Identifier: GPL-3.0-or-later
"""A figure that goes along with a moving support, but some frames late or early.

It is off while the support moves, most where that is fastest, and in place again where it stands:
the feet slip back and forth over it, and where they slip furthest is not where they are furthest
off. One shift in time mends all of it; unless it only leaves late, or arrives early, and is eased
otherwise: then it is off in between by what its feet have slipped until there.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.ground import LOW_SHARE
from .basis.slips import Part
from .glides import FAR_SHARE, Glide, calm, over_box, standing_steps
from .looped import Places
from .slid import Slid

Floats = NDArray[np.float64]

One = TypeVar("One", Glide, Slid)

# So late, or early, at the most; tried in such steps, and then in so many finer ones.
LATEST_S, STEP_S, FINER = 0.5, 0.025, 12
# A shift in time makes up for this share of how the feet move over the support, wherever both
# stand on it: for their speed, squared, each the mean of so long before and after.
EXPLAINS, CALM_S = 0.8, 0.08
# It tells of at least this share of that motion: what it leaves out lies beyond the range; and
# both feet stand for so long in all.
WITHIN, LEAST_S = 0.5, 0.5
# Without such a shift: it ends as near to its place, of the furthest that it is off, and the body
# and every point of both soles go along, but for that share.
BACK_SHARE, WITH_SHARE = 0.2, 0.3
# Of a slip so much at least, beyond what the shift makes of it, is its own.
OWN_SHARE = 0.5


@dataclass(frozen=True, eq=False)
class Late:
    """box          of the support
    samples      how late the figure is; below zero: how early; None: now and then only
    off (T,3)    how far it is from where the support would have it, level, metres
    limit        metres
    """

    box: int
    samples: float | None
    off: Floats
    limit: float

    def span(self, places: Places) -> tuple[int, int, int]:
        """From which sample to which it is off by the limit or more, and where most; in a loop,
        where each round is off alike, of the middle one."""
        begin, end = 0, len(self.off)
        if places.looped is not None:
            begin, end = places.looped.length, 2 * places.looped.length
        sizes = np.linalg.norm(self.off[begin:end], axis=1)
        # The ends of a loop's rounds, which are no part of it, may be further off than all of it.
        rows = begin + np.flatnonzero(sizes >= min(self.limit, float(sizes.max())))
        return int(rows[0]), int(rows[-1]), begin + int(np.argmax(sizes))

    def makes(self, each: Glide | Part) -> Floats:
        """(3,) what this makes of a stretch over the support, metres."""
        return np.asarray(self.off[each.last] - self.off[each.first])


def find_lates(places: Places, factor: float) -> list[Late]:
    """How late the figure goes along with each support that moves, where it does so late, and is
    off by more than is allowed; nothing from outside was declared meanwhile."""
    basis, found = places.rounds_basis, []
    if len(basis.soles) < 2 or len(basis.frames) < 3:
        return []
    for box in range(len(basis.ground.boxes)):
        late = _find_late(basis, box, FAR_SHARE * factor * basis.height.scene_m)
        if late is not None and not _declared(places, late):
            found.append(late)
    return found


def left_of(lates: list[Late], found: Sequence[One]) -> list[One]:
    """Glides, or slips of plants, as they are once nothing is late; of those that are made by that
    nothing is left."""
    left = []
    for each in found:
        way, box = each.way, each.box if isinstance(each, Glide) else each.slip.plant.box
        for late in lates:
            if late.box == box:
                way = way - late.makes(each if isinstance(each, Glide) else each.part)
        if _length(way) > max(each.limit, OWN_SHARE * _length(each.way)):
            left.append(replace(each, way=way))
    return left


def _declared(places: Places, late: Late) -> bool:
    first, last, _ = late.span(places)
    return any(places.declared(each.sole.body, first, last) for each in places.basis.soles)


def _find_late(basis: Basis, box: int, limit: float) -> Late | None:
    """The shift in time that explains how both feet move over a support, else how these go astray
    and come back; None where neither does, or it is seen nowhere."""
    feet = basis.positions[:, [each.sole.body for each in basis.soles]].mean(axis=1)
    carries = (feet - over_box(basis, box, feet)) * [1.0, 1.0, 0.0]
    if float(np.ptp(carries, axis=0).max()) < limit:
        return None
    on_it = np.all([(each.which == box).any(axis=1) for each in basis.soles], axis=0)
    steps = standing_steps(basis, CALM_S)
    steps[~(on_it[1:] & on_it[:-1])] = np.nan
    if np.isfinite(steps[:, 0]).sum() * basis.dt_s < LEAST_S:
        return None
    most, step = LATEST_S / basis.dt_s, STEP_S / basis.dt_s
    lag = _best(carries, steps, basis.dt_s, np.arange(-most, most + step, step))[1]
    lags = lag + np.linspace(-step, step, 2 * FINER + 1)
    share, lag = _best(carries, steps, basis.dt_s, lags)
    if share > EXPLAINS and abs(lag) < most:
        late = Late(box, lag, _off(carries, lag), limit)
    else:
        late = Late(box, None, _astray(basis, box), limit)
    return late if float(np.linalg.norm(late.off, axis=1).max()) > limit else None


def _astray(basis: Basis, box: int) -> Floats:
    """(T,3) how far the figure is from where it began on a support, level; nothing where it does
    not stand on both feet all the time, stays away, or does not go there as a whole."""
    nothing, level = np.zeros((len(basis.frames), 3)), np.array([1.0, 1.0, 0.0])
    low = LOW_SHARE * basis.height.scene_m
    for each in basis.soles:
        on_it = (each.which == box) & each.sole.known
        if not (on_it & (np.abs(each.clearance) < low)).any(axis=1).all() or not on_it.all():
            return nothing
    steps = np.concatenate([each.steps for each in basis.soles], axis=1)
    points = np.concatenate((np.zeros((1, *steps.shape[1:])), np.cumsum(steps, axis=0))) * level
    body = over_box(basis, box, basis.positions[:, basis.lead])
    off = points.mean(axis=1)
    whole = np.concatenate((points, ((body - body[0]) * level)[:, None]), axis=1)
    most = float(np.linalg.norm(off, axis=1).max())
    apart = float(np.linalg.norm(whole - off[:, None], axis=-1).max())
    comes_back = _length(off[-1]) < BACK_SHARE * most
    return off if comes_back and apart < WITH_SHARE * most else nothing


def _best(carries: Floats, steps: Floats, dt_s: float, lags: Floats) -> tuple[float, float]:
    """The largest share explained, and by which of the lags, samples."""
    return max((_explained(carries, steps, dt_s, float(lag)), float(lag)) for lag in lags)


def _explained(carries: Floats, steps: Floats, dt_s: float, lag: float) -> float:
    """Which share of the steps (T-1,3) over the support a lag explains."""
    count = len(carries)
    at = np.arange(count) - lag
    inside = (at >= 0.0) & (at <= count - 1.0)
    known = (inside[1:] & inside[:-1])[:, None] & ~np.isnan(steps)
    size = float(np.sum(steps * steps, where=known))
    if not size > WITHIN * float(np.nansum(steps * steps)):
        return 0.0
    left = steps - calm(np.diff(_off(carries, lag), axis=0), dt_s, CALM_S)
    return 1.0 - float(np.sum(left * left, where=known)) / size


def _off(carries: Floats, lag: float) -> Floats:
    """(T,3) how far what goes along so late is from where the support is."""
    at = np.arange(len(carries))
    return np.stack([np.interp(at - lag, at, each) - each for each in carries.T], axis=1)


def _length(way: Floats) -> float:
    return float(np.linalg.norm(way))
