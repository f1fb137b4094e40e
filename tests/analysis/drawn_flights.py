# SPDX-License-Identifier: GPL-3.0-or-later
"""A stiff figure that is thrown as Newton's formulas have it, so that its landing is known."""

from dataclasses import dataclass

import numpy as np
from figures import pose, to_clip

# Standard gravity, m/s2 (3rd CGPM 1901).
GRAVITY = 9.80665
STANDS = 12


@dataclass(frozen=True)
class Thrown:
    """Metres and seconds; it stands for so many frames, flies, and stands again.

    flies      frames in the air, from the last one on the ground to the first one after
    pace, air  m/s along -Y: on the ground (which goes along below it), and in the air
    kick       m/s to the side that it gains half-way through its flight
    gravity    by which it falls in the air
    """

    flies: int = 15
    pace: float = 1.0
    air: float = 1.0
    kick: float = 0.0
    gravity: float = GRAVITY
    fps: float = 24.0
    lower: float = 0.0

    @property
    def seconds(self):
        """How long it is in the air."""
        return self.flies / self.fps

    @property
    def up(self):
        """m/s upwards as it leaves: back on its height, or lower, after its time in the air."""
        return 0.5 * self.gravity * self.seconds - self.lower / self.seconds

    def clip(self, scale=1.0, **meta):
        """The clip, its root's joint at .95 m while it stands."""
        return figure_along(self.root(), self.fps, scale, **meta)

    def root(self):
        """(T,3) the way of the root."""
        time = np.arange(self.flies + 1) / self.fps
        rise = self.up * time - 0.5 * self.gravity * time**2
        before = np.arange(STANDS) / self.fps * self.pace
        start = STANDS / self.fps * self.pace
        after = (np.arange(STANDS) + 1.0) / self.fps * self.pace
        along = [before, start + self.air * time, start + self.air * time[-1] + after]
        aside = self.kick * np.maximum(time - time[len(time) // 2], 0.0)
        across = [np.zeros(STANDS), aside, np.full(STANDS, aside[-1])]
        height = [np.zeros(STANDS), rise, np.full(STANDS, rise[-1])]
        return np.stack(
            (np.concatenate(across), -np.concatenate(along), 0.95 + np.concatenate(height)), -1
        )


def figure_along(root, fps, scale=1.0, **meta):
    """The figure, all of it, carried along a way (T,3)."""
    turn, place = pose({}, root, len(root))
    return to_clip(turn, place * scale, fps, scale, meta)
