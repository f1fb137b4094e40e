# SPDX-License-Identifier: GPL-3.0-or-later
"""The flights of simulated bodies at 30 frames a second: where nothing touches, as is known."""

import numpy as np

from tests.quality.simulated import motion_of
from tests.quality.work import cases_of

# The third General Conference on Weights and Measures, 1901.
STANDARD_GRAVITY = 9.80665
FPS = 30


def flights():
    """(case, first and last frame of the longest flight), those of .4 s and more."""
    for case in cases_of("simulated_30/flights"):
        motion = motion_of(case)
        air = ~motion.touches.any(axis=1)
        if motion.facts["declared"]:  # what throws it does not touch it
            air[: int(np.ceil(motion.facts["declared"][1] * FPS)) + 1] = False
        steps = np.diff(np.concatenate(([0], air.astype(int), [0])))
        starts, ends = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1) - 1
        if len(starts) and (ends - starts).max() >= 0.4 * FPS:
            at = int(np.argmax(ends - starts))
            yield case, int(starts[at]) + 1, int(ends[at]) - 1


FLIGHTS = tuple(flights())
