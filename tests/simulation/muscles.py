# SPDX-License-Identifier: GPL-3.0-or-later
"""Muscles: springs with dampers that pull each hinge towards a keyed pose; how hard is the tone."""

from bisect import bisect_right
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .segments import HINGES, SEGMENTS

Floats = NDArray[np.float64]

STRENGTH: Floats = np.array([h.strength for s in SEGMENTS for h in s.hinges])
# A damper against a spring: this many seconds times the spring, and no less than this share of
# the stiff figure's (Nm s a radian).
DAMPING_S, LEAST_DAMPING = 0.08, 0.02
# What the ligaments of trunk and neck hold when no muscle does, as a share of the stiff figure's.
LIGAMENTS = {"spine": 0.2, "chest": 0.2, "neck": 0.2, "head": 0.2, "hand": 0.2}


@dataclass(frozen=True)
class Key:
    """At a time the muscles pull towards a pose: angles in degrees by hinge, others at rest."""

    time_s: float
    pose: dict[str, float]
    tone: float | dict[str, float] = 1.0


class Muscles:
    """What a scene's keys ask of the hinges, eased from key to key."""

    def __init__(self, keys: tuple[Key, ...]) -> None:
        self.times = [float(key.time_s) for key in keys]
        self.poses = np.radians([[key.pose.get(h, 0.0) for h in HINGES] for key in keys])
        self.tones = np.log(np.maximum([_tone(key) for key in keys], _LEAST_TONE))
        self.ends = np.exp(self.tones[0]), np.exp(self.tones[-1])

    def at(self, time_s: float) -> tuple[Floats, Floats]:
        """(H,) angles in radians and (H,) tones at a time; the same arrays outside of the keys."""
        n = bisect_right(self.times, time_s)
        if n == 0 or n == len(self.times):
            key = 0 if n == 0 else -1
            return self.poses[key], self.ends[key]
        u = (time_s - self.times[n - 1]) / (self.times[n] - self.times[n - 1])
        u = u * u * (3.0 - 2.0 * u)
        pose = (1.0 - u) * self.poses[n - 1] + u * self.poses[n]
        return pose, np.exp((1.0 - u) * self.tones[n - 1] + u * self.tones[n])


def _tone(key: Key) -> Floats:
    """(H,): a mapping names segments, "" all others."""
    tones = key.tone if isinstance(key.tone, dict) else {"": key.tone}
    segments = [name.partition(":")[0] for name in HINGES]
    return np.array([tones.get(s, tones.get(s.partition(".")[0], tones[""])) for s in segments])


def _ligaments() -> Floats:
    parts = [name.partition(":")[0].partition(".")[0] for name in HINGES]
    return np.array([LIGAMENTS.get(part, 0.0) for part in parts])


_LEAST_TONE = _ligaments()
