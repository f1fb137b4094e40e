# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the picture of a camera jumps: leave-out residuals and steps of its points' paths."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .departure import comes_back, find_step
from .leave_out import REACH, leave_out
from .step_out import step_out

Floats = NDArray[np.float64]

# Per cent of the picture's height: what counts as still, and what is too small to be seen.
FLOOR, SEEN = 0.05, 0.7
# Residual over (floor + residual left), by frames left out; and the same for a step, which
# shows as residuals of half its size.
RATIO_LIMITS = {1: 3.0, 2: 4.5, 3: 6.0}
STEP_RATIO = 6.0
# A corner in the path is no step: straight and parabolic paths on either side must miss each
# other by this share of the limit as well.
SURE_SHARE = 0.5
# A shot whose picture shakes all along: an event must stand out from three quarters of what
# is left out elsewhere in the stretch by this much.
HABIT_QUANTILE, HABIT_RATIO = 0.75, 3.5
# A step leaves residuals of half its size.
STEP_SHARE = 2.0
# Samples on either side of an event that say whether it begins or ends a shake.
BESIDE = 8
# The first and the last samples of a stretch have no path on both sides.
EDGE = 3
# Events this near are one: the residuals of each reach so far into the other.
APART = 3


@dataclass(frozen=True, eq=False)
class Jump:
    """first..last  samples that are off; of a step, the sample before it and the first after
    peak         the sample that shows it most
    offsets      (P,2) how far each point of the picture is off there, per cent of its height
    limit        from which size on it is a jump
    stays        whether the picture goes on elsewhere
    """

    first: int
    last: int
    peak: int
    offsets: Floats
    limit: float
    stays: bool

    @property
    def size(self) -> float:
        """Of the point that is off furthest."""
        return float(np.linalg.norm(self.offsets, axis=-1).max())

    @property
    def shift(self) -> Floats:
        """(2,) of the picture as a whole."""
        return np.asarray(self.offsets.mean(axis=0))


def find_jumps(runs: Floats, factor: float) -> list[Jump]:
    """Jumps of a stretch without cuts, from how its points run (N-1,P,2) frame by frame."""
    path = path_of(runs)
    if len(path) < 2 * REACH[1] + 3:
        return []
    found = _steps(path, factor)
    for width in RATIO_LIMITS:
        if len(path) >= 2 * REACH[width] + width + 2:
            found += _blocks(path, width, factor)
    return _above_shake(_apart(found), leave_out(path, 1).size.max(axis=1), factor)


def path_of(runs: Floats) -> Floats:
    """(N,P,3) the paths that steps (N-1,P,2) add up to: right, 0, up."""
    path = np.zeros((len(runs) + 1, runs.shape[1], 3))
    path[1:, :, ::2] = np.cumsum(runs, axis=0)
    return path


def _steps(path: Floats, factor: float) -> list[Jump]:
    steps, left = step_out(path)
    sizes = np.linalg.norm(steps, axis=-1)
    limits = factor * np.maximum(STEP_RATIO * (FLOOR + left), SEEN)
    found = []
    for at in np.flatnonzero((sizes >= limits).any(axis=1)).tolist():
        point = int(np.argmax(sizes[at] / limits[at]))
        limit = float(limits[at, point])
        meets = find_step(path[:, point], at, 0, SURE_SHARE * limit) is None
        if EDGE < at <= len(path) - 1 - EDGE and not meets:
            found.append(Jump(at - 1, at, at, steps[at, :, ::2], limit, stays=True))
    return found


def _blocks(path: Floats, width: int, factor: float) -> list[Jump]:
    out = leave_out(path, width)
    limits = factor * np.maximum(RATIO_LIMITS[width] * (FLOOR + out.left), SEEN)
    found = []
    for start in np.flatnonzero((out.size >= limits).any(axis=1)).tolist():
        if not EDGE <= start <= len(path) - EDGE - width:
            continue
        point = int(np.argmax(out.size[start] / limits[start]))
        offsets = out.offset[start, :, point]
        if not comes_back(path[:, point], start, offsets):
            continue
        worst = int(np.argmax(np.linalg.norm(offsets, axis=-1)))
        last, off = start + width - 1, out.offset[start, worst][:, ::2]
        limit = float(limits[start, point])
        found.append(Jump(start, last, start + worst, off, limit, stays=False))
    return found


def _above_shake(found: list[Jump], single: Floats, factor: float) -> list[Jump]:
    """The jumps that stand out from what the picture leaves out elsewhere, theirs left out.

    The whole stretch, the samples shortly before and those shortly after count apart: a shake
    may last all along, or begin or end with its largest jolt.
    """
    reach = REACH[1]
    calm = np.ones(len(single), dtype=bool)
    calm[:EDGE] = calm[len(single) - EDGE :] = False
    for jump in found:
        calm[max(jump.first - reach, 0) : jump.last + reach + 1] = False
    kept = []
    for jump in found:
        before, after = (
            single[: jump.first][calm[: jump.first]],
            single[jump.last :][calm[jump.last :]],
        )
        sides = (np.concatenate((before, after)), before[-BESIDE:], after[:BESIDE])
        shakes = max((float(np.quantile(s, HABIT_QUANTILE)) for s in sides if len(s)), default=0.0)
        limit = factor * HABIT_RATIO * shakes * (STEP_SHARE if jump.stays else 1.0)
        if jump.size >= limit:
            kept.append(replace(jump, limit=max(jump.limit, limit)))
    return kept


def _apart(found: list[Jump]) -> list[Jump]:
    """Of events that overlap or lie next to each other the clearest, in time's order."""
    kept: list[Jump] = []
    for jump in sorted(found, key=lambda each: -each.size / each.limit):
        if all(jump.first > k.last + APART or jump.last < k.first - APART for k in kept):
            kept.append(jump)
    return sorted(kept, key=lambda each: each.first)
