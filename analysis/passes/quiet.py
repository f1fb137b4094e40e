# SPDX-License-Identifier: GPL-3.0-or-later
"""Findings that are kept on purpose: has the motion there changed since?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..finding import Finding
from .choices import is_other_rate
from .kept import Kept
from .marks import apart, body_of, moments, size_of, steps_of, told_moments, ways_at

Floats = NDArray[np.float64]
# The motion is the same where it is off the mark by so many steps at most (6 mm at 1.7 m), and by
# this share of how far the part goes there. Measured on half A: what nobody touched is off by .7
# steps at most (turned, moved, with noise), what was bent by 3 cm nearby by 1.8 and more.
SAME_STEPS, SAME_SHARE = 1.2, 0.005
# The amount is the same up to this factor, more or less (what nobody touched differs by 2 %, one
# slip in noise of .1 mm by 20 %); where another point shows it, up to the other one: noise of .1 mm
# makes a pop be told of a tip instead of a joint, by 1.6 times.
SAME_AMOUNT, OTHER_POINT = 1.15, 2.0
# So is one that goes along with its limit, up to this factor.
SAME_SCALE = 1.02
# A mark is looked for so many samples beside its place.
BESIDE = 2
# The mark is the figure's: it does not see the camera.
UNMARKED = "camera"


@dataclass(frozen=True)
class Spot:
    """Where the mark of what was kept belongs now: a frame, and seconds that one of it takes."""

    frame: float
    pace: float = 1.0


def has_changed(basis: Basis, kept: Kept, finding: Finding, spot: Spot) -> bool:
    """Whether a finding that was kept on purpose is another one now.

    kept   as it stood when it was kept; finding: as it is now

    The motion of its part within a quarter second has to fit the mark, turned and moved as the
    figure is, at the pace of the shot; what the mark does not see (turns, weight, the camera) is
    seen by the amount, whether that grows or shrinks. At another frame rate amounts change though
    nobody touched a key: there the mark alone tells.
    """
    if finding.unit != kept.unit:
        return True
    if not (is_other_rate(kept.fps, basis.clip.fps) or _same_amount(kept, finding)):
        return True
    mark = steps_of(kept.mark)
    if mark is None or kept.part == UNMARKED:
        return False
    most = SAME_STEPS + SAME_SHARE * size_of(mark)
    now, told = steps_of(finding.mark), told_moments(kept)
    own = np.inf if now is None else float(apart(mark, now[None], told[None])[0])
    if own <= most:
        return False
    # What shows it most may be another frame now.
    off = min(own, off_mark(basis, kept, mark, spot))
    return bool(np.isfinite(off)) and off > most


def off_mark(basis: Basis, kept: Kept, mark: Floats, spot: Spot) -> float:
    """How far the motion is off the mark (7,3) of what was kept, in steps, where it fits best;
    infinite where nothing of it is known."""
    if kept.space != basis.space:
        return np.inf
    told, best = told_moments(kept), [np.inf]
    body = body_of(basis, kept.body, kept.part)
    sample = (spot.frame - basis.frames[0]) / (basis.frames[1] - basis.frames[0])
    paces = {1.0, spot.pace}
    if is_other_rate(kept.fps, basis.clip.fps):
        paces.add(kept.fps / basis.clip.fps)  # its keys are where they were
    for pace in paces:
        at = sample + np.arange(-BESIDE, BESIDE + 1)
        ways, inside = ways_at(basis, body, at, moments(kept.fps) * pace)
        best += apart(mark, ways, inside & told).tolist()
    return min(best)


def _same_amount(kept: Kept, finding: Finding) -> bool:
    most = SAME_AMOUNT if finding.point == kept.point else OTHER_POINT
    more = _times(finding.amount, kept.amount)
    # Of another height all sizes are told larger or smaller, limits as well.
    scaled = more / _times(finding.limit, kept.limit)
    same_scale = 1.0 / SAME_SCALE <= scaled <= SAME_SCALE
    return 1.0 / most <= more <= most or same_scale


def _times(now: float, was: float) -> float:
    return max(abs(now), 1e-9) / max(abs(was), 1e-9)
