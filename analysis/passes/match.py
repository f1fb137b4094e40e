# SPDX-License-Identifier: GPL-3.0-or-later
"""Which finding of this pass is which of the pass before."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..parts import limb_of
from .kept import Kept
from .marks import CENTRE, LEAST_MOMENTS, OFFSETS, moments, size_of, steps_of, told_moments
from .times import TimeMap

# Frames within so many seconds of each other are one moment.
NEAR_S = 0.17
# What tells two findings apart, as costs: so many seconds between the frames that show most; a
# mark that has nothing in common; another part of the limb; one that was gone already.
FAR_S = 0.25
OTHER_MARK, OTHER_PART, WAS_GONE = 1.0, 0.6, 0.3
# Marks that differ by this, in steps, and by this share of their size have nothing in common.
MARK_STEPS, MARK_SHARE = 6.0, 0.5
# Moments that two frame rates put so near to each other are one.
SAME_MOMENT_S = 0.01


@dataclass(frozen=True, eq=False)
class _Marked:
    """A finding, its frame in this pass, its mark's steps (7,3), and which of the moments are told
    (7,)."""

    kept: Kept
    frame: float
    steps: NDArray[np.float64]
    told: NDArray[np.bool_]
    size: float


def match(
    olds: Sequence[Kept],
    gone: int,
    news: Sequence[Kept],
    time: TimeMap,
    fps: float,
) -> dict[int, int]:
    """For findings of this pass, by their index, the index of the one that they were.

    olds   those of the pass before, and from the last `gone` of them on such as had gone before
    A finding is at most one other. The check is the same, the moment, and the part or its limb: as
    merging blames an event on what carries it, a smaller event may be blamed on the next joint.
    """
    was = [_marked(old, time.at(old.frame)) for old in olds]
    now = [_marked(new, new.frame) for new in news]
    pairs = []
    for m, old in enumerate(was):
        for n, new in enumerate(now):
            cost = _cost(old, new, time, fps)
            if cost is not None:
                pairs.append((cost + WAS_GONE * (m >= len(olds) - gone), n, m))
    found: dict[int, int] = {}
    for _cost_of, n, m in sorted(pairs):
        if n not in found and m not in found.values():
            found[n] = m
    return found


def _marked(kept: Kept, frame: float) -> _Marked:
    steps = steps_of(kept.mark)
    told = np.zeros(len(OFFSETS), dtype=bool) if steps is None else told_moments(kept)
    told[CENTRE] = False
    size = 0.0 if steps is None else size_of(steps)
    return _Marked(kept, frame, np.zeros((len(OFFSETS), 3)) if steps is None else steps, told, size)


def _cost(was: _Marked, now: _Marked, time: TimeMap, fps: float) -> float | None:
    """What speaks against two findings being one; None where they cannot be."""
    old, new = was.kept, now.kept
    if (old.check, old.space) != (new.check, new.space) or not _may_be(old, new):
        return None
    peak = new.frame + time.apart(was.frame, new.frame)
    first, last = peak - (old.frame - old.frames[0]), peak + (old.frames[1] - old.frame)
    near = NEAR_S * fps
    if first > new.frames[1] + near or new.frames[0] > last + near:
        return None
    late = min(abs(peak - new.frame) / (FAR_S * fps), 1.0)
    other = OTHER_PART if _title(old) != _title(new) else 0.0
    return late + OTHER_MARK * _unlike(was, now) + other


def _may_be(old: Kept, new: Kept) -> bool:
    """Whether they are of one body, or of one limb."""
    if _title(old) == _title(new):
        return True
    parts = {old.part, new.part}
    return None not in parts and parts <= set(limb_of(old.part or ""))


def _title(kept: Kept) -> str:
    return kept.body or kept.part or ""


def _unlike(was: _Marked, now: _Marked) -> float:
    """0 for marks that are the same, up to 1; in between where nothing is known."""
    told = was.told & now.told
    rates = was.kept.fps, now.kept.fps
    if rates[0] != rates[1] and min(rates) > 0.0:
        told &= np.abs(moments(rates[0]) - moments(rates[1])) < SAME_MOMENT_S
    if told.sum() < LEAST_MOMENTS:
        return 0.5
    off = float(np.sqrt(((was.steps - now.steps)[told] ** 2).sum() / told.sum()))
    return min(off / (MARK_STEPS + MARK_SHARE * max(was.size, now.size)), 1.0)
