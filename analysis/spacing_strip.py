# SPDX-License-Identifier: GPL-3.0-or-later
"""Spacing as a small chart: how fast one point goes from each frame to the next.

A trail's dot has the mean of the gaps on both sides, as the eye follows a path. Here it is the one
step that leads to a frame, or a frame that stands (0, then twice as much) would look even.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .trails import Spot, finding_spot, known_path, words_of

if TYPE_CHECKING:
    from .basis import Basis
    from .pipeline import Examination

Floats = NDArray[np.float64]
# The chart is as high as this many times what all but a twentieth of the steps stay below: one
# jump may stand out of it, and must not flatten the rest.
ABOVE_MOST, MOST_PERCENTILE = 1.5, 95.0
# Nothing is seen to move that is slower, m/s: a chart of it would show the rounding of numbers.
STANDS_MPS = 1e-4


@dataclass(frozen=True, eq=False)
class SpacingStrip:
    """One point's spacing over the checked range.

    name        what the point is called
    frames (T,) frame numbers of all samples
    speed (T,)  of the step that leads to each frame, m/s at the character's height; NaN at the
                first frame, and where either end of the step lies in a gap
    full        the speed that the chart is as high as, m/s; 0 where nothing moves
    named (N,)  samples at which findings of this point peak
    read        the one of them that is being read, or -1
    """

    name: str
    frames: Floats
    speed: Floats
    full: float
    named: NDArray[np.intp]
    read: int


def strip_of(
    examination: "Examination", spot: Spot, *, read: int = -1, quiet: Collection[int] = ()
) -> SpacingStrip:
    """The chart of a spot; raises KeyError for a title that is not followed.

    read   index of the finding that is being read, or -1
    quiet  indices of findings that are kept as intended: they are named only while they are read
    """
    speed = step_speed(examination.basis, spot)
    frames = examination.basis.frames
    peaks = {
        n: int(np.argmin(np.abs(frames - finding.peak_frame)))
        for n, finding in enumerate(examination.shot.findings)
        if (n == read or n not in quiet) and finding_spot(examination, finding).title == spot.title
    }
    return SpacingStrip(
        name=words_of(examination, spot),
        frames=frames,
        speed=speed,
        full=full_height(speed),
        named=np.unique(np.array(list(peaks.values()), dtype=np.intp)),
        read=peaks.get(read, -1),
    )


def step_speed(basis: "Basis", spot: Spot) -> Floats:
    """(T,) m/s at the character's height of the step that leads to each frame; NaN at the first,
    and where either end of the step is not known. Raises KeyError as `strip_of`."""
    path, known = known_path(basis, spot)
    found = np.full(len(path), np.nan)
    steps = np.linalg.norm(np.diff(path, axis=0), axis=1) / basis.dt_s * basis.height.to_story
    found[1:] = np.where(known[1:] & known[:-1], steps, np.nan)
    return found


def full_height(speed: Floats) -> float:
    """The speed in m/s that a chart of speeds (T,) is as high as; 0 where nothing moves."""
    known = speed[np.isfinite(speed)]
    top = float(known.max()) if len(known) else 0.0
    if top < STANDS_MPS:
        return 0.0
    most = ABOVE_MOST * float(np.percentile(known, MOST_PERCENTILE))
    return min(top, most) if most >= STANDS_MPS else top


def speed_in(metres_per_s: float, full: float) -> str:
    """A speed in the unit that suits a chart as high as `full`, so that it does not change from
    frame to frame: 1.4 m/s, or 47 cm/s where nothing is faster than 1 m/s."""
    if full >= 0.995:
        return f"{metres_per_s:.1f} m/s"
    return f"{metres_per_s * 100.0:.0f} cm/s" if full >= 0.05 else f"{metres_per_s * 1e3:.1f} mm/s"
