# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the frames of one pass are in the next one."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
# How fast time goes there is told over so many seconds, and is its own pace up to this.
PACE_S, SAME_PACE = 1.0, 0.04


@dataclass(frozen=True, eq=False)
class TimeMap:
    """Frame numbers `was` (N,) of one pass and `now` (N,) of the next; both as they go along.

    loop   first frame and length in frames of a loop that may start elsewhere, or None
    span   first and last frame of the pass before: what lies outside is in no round of a loop; None
           where that is not known
    """

    was: Floats
    now: Floats
    loop: tuple[float, float] | None = None
    span: tuple[float, float] | None = None

    def at(self, frame: float) -> float:
        """Where a frame is now; beyond the ends all goes along with the end."""
        moved = self.straight(frame)
        outside = self.span is not None and not self.span[0] <= frame <= self.span[1]
        if self.loop is None or outside:
            return moved
        first, length = self.loop
        return first + (moved - first) % length

    def apart(self, frame: float, other: float) -> float:
        """Frames from `other` to `frame`, the short way round in a loop."""
        off = frame - other
        if self.loop is None:
            return off
        # More rounds off is another moment.
        return off - self.loop[1] * min(max(round(off / self.loop[1]), -1), 1)

    def pace(self, frame: float, fps: float) -> float:
        """Frames that one frame of the pass before takes now, around a frame; 1 where nearly so."""
        beside = PACE_S * fps
        near = np.abs(self.was - frame) <= beside
        if near.sum() < 2:
            return 1.0
        was, now = self.was[near], self.now[near]
        spread = float(((was - was.mean()) ** 2).sum())
        if spread <= 0.0:
            return 1.0
        slope = float(((was - was.mean()) * (now - now.mean())).sum()) / spread
        return 1.0 if abs(slope - 1.0) < SAME_PACE else min(max(slope, 0.5), 2.0)

    def straight(self, frame: float) -> float:
        """Where a frame is now, in whichever round of a loop."""
        if frame <= self.was[0]:
            return float(frame + self.now[0] - self.was[0])
        if frame >= self.was[-1]:
            return float(frame + self.now[-1] - self.was[-1])
        return float(np.interp(frame, self.was, self.now))


def unmoved() -> TimeMap:
    """Every frame is where it was."""
    return TimeMap(np.zeros(1), np.zeros(1))
