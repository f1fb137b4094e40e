# SPDX-License-Identifier: GPL-3.0-or-later
"""Two passes laid side by side in time: moments that look alike, in the order that they had.

Dynamic programming over moments of the pass before, each of which may be anywhere in this one. What
counts is by how many frames it is moved: that this stays the same costs nothing, that it
changes costs the less the smaller the change is. So in walks and loops, where motion repeats
itself, the smallest shift wins, and a moment that looks like no other goes along with the rest.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from .kept import Kept, Motion, Pass
from .marks import apart, body_of, moments, size_of, steps_of, told_moments, ways_at
from .match import MARK_SHARE, MARK_STEPS
from .motion import unlike
from .same import other_stretch
from .times import TimeMap, unmoved

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
# Costs, where a moment that looks as unlike as can be costs 1: that the whole shot is moved, a
# frame; that a moment is moved further than the one before, a frame; that it is moved less far, a
# frame (dearer, as in a walk a whole stride could be left out); that frames are put in between, at
# once and a frame.
SHIFTED, DRIFTS, SHORTER, PUT_IN, LONGER = 0.02, 0.15, 0.3, 1.5, 0.01
# That a moment of a loop is moved by this share of it and more: one half of a walk looks like the
# other one.
ELSEWHERE, FAR = 0.5, 0.125
# That a moment is out of the range, where its frame is; and where its frame is not.
CUT, OUT = 0.2, 1.0
# From so unlike on a moment tells nothing.
TELLS = 0.5
# Poses that are less unlike are the same one. In another range of a shot so many moments at
# least, and this share of those that both have, are where they were.
UNTOUCHED, LEAST_STAYING, MOST_OF_IT = 0.02, 3, 0.5
# Moments that are less unlike, in these units, look alike. Where less than this share of them comes
# to lie where it looks alike, nothing tells that anything was moved.
ALIKE, LEAST_ALIKE = 0.25, 0.34
# Ranges whose lengths differ by more than this factor are not one whose keys were moved.
OTHER_LENGTH = 1.25
# More frames than any shot has.
EVER = 1e6
# Moments of a pass that are laid side by side with the other one: every second, so many at most.
EVERY, MOST = 2, 300


@dataclass(frozen=True, eq=False)
class Moments:
    """frames (K,) of the pass before, in order; unlike (K,T): how unlike each sample of this one is
    to them, 0 to 1."""

    frames: Floats
    unlike: Floats


def time_map(
    basis: Basis, now: Motion, before: Pass | None, anchors: Sequence[Kept], loop: int
) -> TimeMap:
    """Where the frames of the pass before are in the basis's shot.

    now       the motion of the basis; loop: its samples where it plays as a loop, else 0
    anchors   what is known of the pass before by its mark, where its motion is not
    """
    remapped = None if before is None else _remapped(now, before)
    if remapped is not None:
        return remapped
    found = _by_motion(now, before) or _by_marks(basis, anchors)
    if found is None:
        return unmoved()
    step = float(basis.frames[1] - basis.frames[0])
    same = (found.frames - basis.frames[0]) / step
    stays = None if before is None else _staying(found, same, before, basis)
    if stays is not None and not stays.any():
        return unmoved()
    if stays is not None:
        # Another range of the same motion: no loop is wound into a shorter one, and what lies
        # outside goes along.
        found, same, loop = Moments(found.frames[stays], found.unlike[stays]), same[stays], 0
    places, least = _follow(found.unlike, same, loop)
    fps = basis.clip.fps
    if before is not None and abs(before.fps / fps - 1.0) > 1e-3:
        # Keys that were moved along with the frame rate.
        scaled = (found.frames * fps / before.fps - basis.frames[0]) / step
        other, cost = _follow(found.unlike, scaled, loop)
        places = other if cost < least else places
    if not _look_alike(found.unlike, places, loop):
        return unmoved()
    moved = basis.frames[0] + step * np.maximum.accumulate(places)
    around = (float(basis.frames[0]), loop * step) if loop else None
    return TimeMap(found.frames, moved, around, None if before is None else before.frames)


def _remapped(now: Motion, before: Pass) -> TimeMap | None:
    """Where time is remapped otherwise and most keys are as they were: all frames go along."""
    keys = other_stretch(before.motion, now)
    if keys is None or keys.share() < MOST_OF_IT:
        return None
    # What lies outside of that range goes along at the same pace, however far.
    inside = np.arange(before.frames[0], before.frames[1] + 1.0)
    frames = np.concatenate((inside[:1] - EVER, inside, inside[-1:] + EVER))
    return TimeMap(frames, keys.times * frames, span=before.frames)


def _look_alike(off: Floats, places: Floats, loop: int) -> bool:
    """Whether enough moments look alike where they were laid; what is out of the range tells
    nothing."""
    at = np.round(places).astype(np.int64)
    at = at % loop if loop else at
    inside = (at >= 0) & (at < off.shape[1])
    if not inside.any():
        return False
    return float((off[inside, at[inside]] < ALIKE).mean()) >= LEAST_ALIKE


def _staying(found: Moments, same: Floats, before: Pass, basis: Basis) -> Bools | None:
    """(K,) which moments lie in this range, where it is another one than that of the pass before
    and most of its motion is where it was; None where that is not so. None of them lies in a range
    that is elsewhere, and whose motion is another one, or longer or shorter than moved keys are."""
    if before.motion is None or before.frames == (basis.frames[0], basis.frames[-1]):
        return None
    at = np.round(same).astype(np.int64)
    inside: Bools = (at >= 0) & (at < found.unlike.shape[1])
    long = before.frames[1] - before.frames[0], float(basis.frames[-1] - basis.frames[0])
    other = max(long) > OTHER_LENGTH * min(long)
    if other and not inside.any():
        return inside
    if inside.sum() < LEAST_STAYING and not _goes_along(found.unlike):
        return np.zeros_like(inside)
    if inside.sum() < (1 if other else LEAST_STAYING):
        return None
    off = found.unlike[inside, at[inside]]
    return inside if float((off < UNTOUCHED).mean()) >= MOST_OF_IT else None


def _goes_along(off: Floats) -> bool:
    """Whether the motion of one range is that of the other from its first frame on: all keys were
    moved with the range."""
    at = np.linspace(0.0, off.shape[1] - 1.0, len(off)).round().astype(np.int64)
    return float((off[np.arange(len(off)), at] < UNTOUCHED).mean()) >= MOST_OF_IT


def _by_motion(now: Motion, before: Pass | None) -> Moments | None:
    motion = None if before is None else before.motion
    if before is None or motion is None or not motion.tracks:
        return None
    count = len(next(iter(motion.tracks.values())))
    if not count:
        return None
    every = max(EVERY, -(-count // MOST))
    rows = np.arange(0, count, every)
    found = unlike(motion, now, rows)
    if found is None:
        return None
    frames: Floats = before.frames[0] + motion.step * rows.astype(np.float64)
    return Moments(frames, found)


def _by_marks(basis: Basis, anchors: Sequence[Kept]) -> Moments | None:
    frames: list[float] = []
    rows: list[Floats] = []
    at = np.arange(len(basis.frames), dtype=np.float64)
    for kept in sorted(anchors, key=lambda each: each.frame):
        mark = steps_of(kept.mark)
        if mark is None or kept.space != basis.space:
            continue
        ways, inside = ways_at(basis, body_of(basis, kept.body, kept.part), at, moments(kept.fps))
        off = apart(mark, ways, inside & told_moments(kept))
        frames.append(kept.frame)
        rows.append(np.minimum(off / (MARK_STEPS + MARK_SHARE * size_of(mark)), 1.0))
    return Moments(np.array(frames), np.array(rows)) if frames else None


def _follow(off: Floats, same: Floats, loop: int) -> tuple[Floats, float]:
    """(K,) samples of this pass for each moment, and what that costs altogether.

    off   (K,T) how unlike; same (K,): the sample that each would be if nothing had been moved
    """
    costs, shifts = _by_shift(np.minimum(off / TELLS, 1.0), same, loop)
    steps = np.arange(len(shifts), dtype=np.float64)
    best = np.zeros_like(costs)
    best[0] = costs[0] + SHIFTED * np.abs(shifts)
    for k in range(1, len(costs)):
        best[k] = costs[k] + _cheapest(best[k - 1], steps)
    at = np.zeros(len(costs), dtype=np.int64)
    at[-1] = _least(best[-1], shifts)
    for k in range(len(costs) - 1, 0, -1):
        came = best[k - 1] + _change(steps[at[k]] - steps)
        at[k - 1] = np.argmin(came + 1e-9 * np.abs(steps - steps[at[k]]))
    return np.round(same) + shifts[at], float(best[-1].min())


def _by_shift(off: Floats, same: Floats, loop: int) -> tuple[Floats, Ints]:
    """(K,O) the costs of each moment by how many samples it is moved, and (O,) these."""
    count = off.shape[1]
    here = np.round(same).astype(np.int64)
    if loop:
        shifts = np.arange(-loop, loop + 1)
        costs = np.take_along_axis(off, (here[:, None] + shifts) % loop, axis=1)
        return costs + ELSEWHERE * (np.abs(shifts) >= FAR * loop), shifts
    shifts = np.arange(min(-int(here[-1]), 0), max(count - int(here[0]), 1))
    at = here[:, None] + shifts
    costs = np.take_along_axis(off, np.clip(at, 0, count - 1), axis=1)
    cut = np.where((here >= 0) & (here < count), OUT, CUT)[:, None]
    return np.where((at >= 0) & (at < count), costs, cut), shifts


def _cheapest(best: Floats, steps: Floats) -> Floats:
    """The least of `best` with the cost of changing from one shift to another."""
    up = np.minimum.accumulate(best - DRIFTS * steps) + DRIFTS * steps
    put_in = np.minimum.accumulate(best - LONGER * steps) + LONGER * steps + PUT_IN
    down = np.minimum.accumulate((best + SHORTER * steps)[::-1])[::-1] - SHORTER * steps
    return np.minimum(np.minimum(up, down), put_in)


def _change(more: Floats) -> Floats:
    """What it costs that a moment is moved by `more` samples than the one before."""
    put_in = np.where(more > 0.0, PUT_IN + LONGER * more, np.inf)
    return np.minimum(np.where(more > 0.0, DRIFTS, -SHORTER) * more, put_in)


def _least(best: Floats, shifts: Ints) -> int:
    """Where the least is, of several the least moved."""
    return int(np.argmin(best + 1e-9 * np.abs(shifts)))
