# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean set of a pushed, graphic style: few poses, fast straight transitions, hard stops.

Everything moves at once from one strong pose to the next and stops dead, all through the shot and
everywhere alike. Consistent is a style: a measure, and no findings.
"""

import numpy as np

from .authored import clip, key_poses
from .case import Case
from .holds import random_pose
from .keying import Keyed

EACH = 20
_RATES = (24.0, 30.0)
_POSES = 7


def graphic() -> list[Case]:
    """Shots of seven poses; transitions last three to five frames, and a pose half a second."""
    found = []
    for number in range(2 * EACH):
        half, fps = "AB"[number % 2], _RATES[number // 2 % 2]
        rng = np.random.default_rng([10, number])
        size = rng.uniform(0.8, 1.3)
        made = clip(_shot(rng, fps), fps, "graphic", size=size, keys=number % 4 == 0)
        found.append(Case(f"graphic/{number:02}", "graphic", "graphic", half, made))
    return found


def _shot(rng: np.random.Generator, fps: float) -> Keyed:
    """Straight from pose to pose in the same number of frames throughout one shot."""
    going = int(rng.integers(3, 6))
    frame, poses, pose = 0, {}, random_pose(rng)
    for _ in range(_POSES):
        poses[frame] = pose
        frame += round(fps * rng.uniform(0.35, 0.7))
        poses[frame] = pose
        frame += going
        pose = random_pose(rng, much=1.3)
    poses[frame] = pose
    poses[frame + round(0.5 * fps)] = pose
    return key_poses(poses, handles="linear")
