# SPDX-License-Identifier: GPL-3.0-or-later
"""Marks read back, and how far motion is off one."""

import base64
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..mark import OFFSETS_S, STEP_SHARE, mark_at
from .kept import Kept

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
OFFSETS = np.array(OFFSETS_S)
CENTRE = int(np.argmin(np.abs(OFFSETS)))
# Ways are cut off here, in steps; what is cut off on both sides tells nothing.
LONGEST = 127
# So many of the seven moments have to lie within both ranges, or nothing is told.
LEAST_MOMENTS = 2


def steps_of(mark: str) -> Floats | None:
    """(7,3) the ways of a mark in steps; None for what is none."""
    try:
        ways = np.frombuffer(base64.b64decode(mark, validate=True), dtype=np.int8)
    except ValueError:
        return None
    return ways.reshape(-1, 3).astype(np.float64) if len(ways) == 3 * len(OFFSETS) else None


@lru_cache(maxsize=64)
def moments(fps: float) -> Floats:
    """(7,) seconds from the peak at which a mark was taken, on whole samples at that rate."""
    return OFFSETS if fps <= 0.0 else np.round(OFFSETS * fps) / fps


def told_moments(kept: Kept) -> Bools:
    """(7,) which moments of a finding's mark lie within the range that it was found in."""
    if kept.span is None or kept.fps <= 0.0:
        return np.ones(len(OFFSETS), dtype=bool)
    at = kept.frame + moments(kept.fps) * kept.fps
    return (at >= kept.span[0] - 1e-6) & (at <= kept.span[1] + 1e-6)


def body_of(basis: Basis, title: str, part: str | None = None) -> int:
    """The body of that title, else the one that plays the part, else the one that leads."""
    for wanted in (title, part):
        for n, body in enumerate(basis.bodies):
            if wanted and body.title == wanted:
                return n
    return basis.lead


def ways_at(basis: Basis, body: int, at: Floats, offsets_s: Floats) -> tuple[Floats, Bools]:
    """(N,7,3) ways in steps around samples `at` (N,), not rounded, and (N,7) those in the range.

    As `mark_at` has them, at any moments, between samples too.
    """
    count = len(basis.frames)
    at = np.clip(np.asarray(at, dtype=np.float64), 0.0, count - 1.0)
    moment = at[:, None] + offsets_s / basis.dt_s
    inside = (moment > -0.5) & (moment < count - 0.5)
    path = basis.positions[:, body]
    way = between(path, moment) - between(path, at)[:, None]
    ahead = basis.forward[np.round(at).astype(int)][:, None]
    left = np.stack((-ahead[..., 1], ahead[..., 0], np.zeros(ahead.shape[:2])), axis=-1)
    local = np.stack(((way * ahead).sum(-1), (way * left).sum(-1), way[..., 2]), axis=-1)
    steps = local / (STEP_SHARE * basis.height.scene_m)
    return np.clip(steps, -LONGEST, LONGEST), inside


def between(path: Floats, at: Floats) -> Floats:
    """(..., 3) a path (T,3) at samples and between them, straight from one to the next."""
    at = np.clip(at, 0.0, len(path) - 1.0)
    below = np.minimum(np.floor(at).astype(int), max(len(path) - 2, 0))
    share = (at - below)[..., None]
    above = np.minimum(below + 1, len(path) - 1)
    return np.asarray((1.0 - share) * path[below] + share * path[above], dtype=np.float64)


def apart(mark: Floats, ways: Floats, told: Bools) -> Floats:
    """(N,) how far ways (N,7,3) are off a mark (7,3): the mean square's root over the moments that
    are told (N,7), in steps; infinite where too few are."""
    used = told.copy()
    used[:, CENTRE] = False
    squares = ((ways - mark) ** 2).sum(axis=-1) * used
    count = used.sum(axis=-1)
    mean = squares.sum(axis=-1) / np.maximum(count, 1)
    return np.where(count >= LEAST_MOMENTS, np.sqrt(mean), np.inf)


def size_of(mark: Floats) -> float:
    """How long the ways of a mark are, in steps, taken as `apart` takes their differences."""
    return float(np.sqrt((mark**2).sum() / (len(mark) - 1)))


def note_mark(basis: Basis, part: str | None, frame: float) -> str:
    """The mark of a note: the motion of its part, or of what leads, around the frame."""
    peak = int(np.argmin(np.abs(basis.frames - frame)))
    return mark_at(basis, body_of(basis, part or ""), peak)
