# SPDX-License-Identifier: GPL-3.0-or-later
"""Findings that are kept on purpose: has the motion there changed since?"""

import numpy as np

from ..basis import Basis
from ..finding import Finding
from .kept import Kept
from .marks import apart, body_of, moments, size_of, steps_of, told_moments, ways_at
from .times import TimeMap

# The motion is the same where it is off the mark by so many steps at most, and by this share of
# how far the part goes there.
SAME_STEPS, SAME_SHARE = 1.5, 0.03
# The amount is the same up to this factor, more or less.
SAME_AMOUNT = 1.25
# A mark is looked for so many samples beside its place.
BESIDE = 2
NO_MARK = "camera"


def has_changed(
    basis: Basis, kept: Kept, finding: Finding, frame: float, time: TimeMap, was: float
) -> bool:
    """Whether a finding that was kept on purpose is another one now.

    kept    as it stood when it was kept; finding: as it is now
    frame   where its mark belongs now; was: where that was in the pass before

    The motion of its part within a quarter second has to fit the mark, turned and moved as the
    figure is, at the pace of the shot; what the mark does not see (turns, weight, the camera) is
    seen by the amount.
    """
    more = max(finding.amount, 1e-9) / max(kept.amount, 1e-9)
    if finding.unit != kept.unit or not 1.0 / SAME_AMOUNT <= more <= SAME_AMOUNT:
        return True
    mark = steps_of(kept.mark)
    if mark is None or kept.part == NO_MARK:
        return False
    return off_mark(basis, kept, finding, frame, time.pace(was, kept.fps or 24.0)) > (
        SAME_STEPS + SAME_SHARE * size_of(mark)
    )


def off_mark(basis: Basis, kept: Kept, finding: Finding, frame: float, pace: float) -> float:
    """How far the motion is off the mark, in steps, where it fits best."""
    mark, now = steps_of(kept.mark), steps_of(finding.mark)
    told = told_moments(kept)
    best = [np.inf]
    if mark is not None and now is not None:
        best.append(float(apart(mark, now[None], told[None])[0]))
    if mark is not None and kept.space == basis.space:
        body = body_of(basis, kept.body, kept.part)
        sample = (frame - basis.frames[0]) / (basis.frames[1] - basis.frames[0])
        at = sample + np.arange(-BESIDE, BESIDE + 1)
        offsets = moments(kept.fps) * kept_pace(kept, basis, pace)
        ways, inside = ways_at(basis, body, at, offsets)
        best += apart(mark, ways, inside & told).tolist()
    return min(best)


def kept_pace(kept: Kept, basis: Basis, pace: float) -> float:
    """Seconds that a second of the mark takes now: `pace` is in frames."""
    if kept.fps <= 0.0:
        return pace
    step = float(basis.frames[1] - basis.frames[0])
    return pace * kept.fps * basis.dt_s / step
